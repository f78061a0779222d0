//! The terms of the trade as this program uses them: one sentence each, what else they are called, where they are used.
//! Meanings and other names are common practice, no source.

use crate::fact::{FactId, Kind};
use crate::flow::{Flow, Question, Rule};

/// A term.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Term {
    /// The word that this program uses everywhere.
    pub name: &'static str,
    /// What it means, in one sentence.
    pub is: &'static str,
    /// Other words for it in the trade, and other spellings.
    pub also: &'static [&'static str],
}

macro_rules! terms {
    ($($name:literal $is:literal [$($also:literal)*];)+) => {
        /// Every term, by name.
        pub const TERMS: &[Term] = &[$(Term { name: $name, is: $is, also: &[$($also),*] }),+];
    };
}

terms! {
    "abutment" "A tooth that carries a bridge." ["abutment tooth" "anchor tooth"];
    "air abrasion" "Blasting the fitting surface with fine alumina, here 50 µm, so that it bonds." ["air-abraded" "air-abrade" "sandblasting" "sandblasted" "grit blasting"];
    "alginate" "An impression material that shrinks within the hour and is poured once." ["irreversible hydrocolloid"];
    "amended order" "The order changed in writing; work that is on hold starts only on it." ["amended written order" "written order"];
    "Angle class" "How the lower jaw relates to the upper: class I normal, II set back, III set forward." ["class of the bite"];
    "as ordered" "Made as it stood on the order, although the laboratory had asked." ["made as ordered"];
    "bevel" "A margin cut at a slant, ending thin." ["bevelled margin" "beveled margin"];
    "bite record" "What shows how the jaws close: wax, silicone or a scan." ["bite registration" "interocclusal record" "bite"];
    "bonding" "Cementing with a resin that adheres to tooth and restoration; it needs a dry field." ["adhesive cementation" "bonded"];
    "build-up" "Filling material that replaces lost tooth structure before the prep is cut." ["core" "core build-up"];
    "CALL" "Something was found that the dentist has to decide, or the laboratory has to put right, before going on." ["call first"];
    "call sheet" "The sheet with what to ask the dentist on the phone." ["call list"];
    "cantilever" "A pontic held on one side only." ["free-end pontic" "extension pontic" "cantilevered"];
    "chamfer" "A margin with a rounded inner corner, like a quarter circle." ["chamfered margin"];
    "clearance" "The least space between prep and opposing tooth, in closing and in sliding." ["occlusal clearance" "interocclusal space"];
    "CLEARED FOR DESIGN" "Everything needed for designing is here; something needed for making is not." [];
    "CLEARED TO MAKE" "Nothing is left to wait for: the work can be made." [];
    "CLOSED" "Everything about the case is done; nothing is asked about it any more." [];
    "concave wall" "A wall that is hollow instead of straight." ["concave" "dished" "hollow wall"];
    "connector" "The bar that joins two units of a bridge; its height counts most." ["connector area" "joint" "solder joint"];
    "contact" "Where the restoration touches the tooth beside it; shim stock or floss shows it." ["proximal contact" "contact point"];
    "crossbite" "The lower teeth bite outside the upper ones." ["cross bite" "reversed bite"];
    "crown" "A restoration that covers the whole prep." ["full crown" "full-coverage crown"];
    "crown lengthening" "Taking back gum or bone so that more sound tooth stands above the margin." ["surgical crown lengthening"];
    "die" "The copy of one prep in plaster, resin or print." ["stone die"];
    "die spacer" "The gap left between die and restoration for the cement." ["spacer" "cement gap"];
    "distal" "Away from the midline of the arch." [];
    "drill" "A small drawn case to practise on, answered at once with its reason." ["exercise"];
    "due day" "The day by which the bench has to be done with a case." ["due at the bench"];
    "effective wall" "The share of a wall that stops the crown from tipping about the opposite margin." ["resisting wall" "tangent line"];
    "facial" "Towards cheek or lip: buccal on back teeth, labial on front teeth; f-l is faciolingual, from there to the tongue." ["buccal" "labial" "vestibular"];
    "feather edge" "A margin without a step; metal can take it, most ceramics cannot." ["knife edge" "feather-edge" "vertical prep"];
    "ferrule" "Sound tooth that the crown grips above its margin." ["ferrule effect" "sound tooth above the margin"];
    "finding" "Something that a rule found in the answers, with its level, reason and source." [];
    "fitting surface" "The surface of a restoration that faces the prep." ["intaglio" "inside of the crown" "inner surface"];
    "flow" "The files with the questions, rules, options, materials and sources that the program works by." [];
    "followed, of a restoration" "Its dentist has sent word since it was delivered, so that silence means quiet." ["followed so long"];
    "glass ionomer" "A water-based cement that bonds a little to tooth; the resin-modified kind is stronger." ["GIC"];
    "glass-ceramic" "A ceramic that is etched and silanised, and bonds: lithium disilicate, leucite." ["lithium disilicate" "leucite"];
    "grip" "This program's figure for how a restoration stays on: 1.0 is the recommended minimum prep; it serves to compare." ["retention and resistance"];
    "groove" "A slot cut into a wall, so that the crown cannot turn out." ["grooves or boxes"];
    "group function" "Several back teeth share the contact when the jaw moves sideways." [];
    "guidance" "The teeth that lead when the jaw moves: canine guidance, group function, front teeth." ["canine guidance" "anterior guidance" "disclusion"];
    "gum" "The soft tissue around the teeth." ["gingiva" "soft tissue"];
    "hand over" "Saying who has the case from now on, with a note." ["handed over"];
    "high contact" "A contact that meets before the others." ["high spot" "premature contact" "early contact" "prematurity"];
    "h²·w" "Height × height × width of a connector, in mm³: what resists bending." ["height² × width"];
    "incisal edge" "The biting edge of a front tooth." ["incisal"];
    "inspection" "Going through the questions of a case on its models." ["walk through" "check-in" "case check"];
    "interval" "The two figures, in brackets, between which the true share lies 95 times in 100." ["confidence interval"];
    "line angle" "Where two walls, or a wall and the top, meet; sharp ones break ceramics." ["sharp edge" "sharp edges" "internal line angle"];
    "lingual" "Towards tongue or palate; palatal on upper teeth." ["palatal"];
    "lipped margin" "A margin with a raised rim, so that the crown's edge is thin or does not seat." ["J-shaped margin" "lip" "J margin" "reverse margin"];
    "margin" "The line where the restoration ends on the tooth." ["finish line" "finishing line" "preparation margin" "crown edge"];
    "margin form" "The shape of the margin: chamfer, shoulder, bevel, feather edge." ["finish line design" "margin design"];
    "margin width" "How far the margin steps in from the outer tooth, in mm." ["shoulder width" "depth of cut" "margin depth"];
    "measure again" "A reading so near a limit that its own error could change the result." ["deciding reading"];
    "mesial" "Towards the midline of the arch." [];
    "mesiodistal" "From mesial to distal, along the arch; short m-d." ["m-d"];
    "metal-ceramic" "A metal framework with porcelain fired on." ["porcelain fused to metal" "PFM"];
    "mobility" "How far a tooth gives way, in grades." ["loose tooth"];
    "mounting" "Setting the models in an articulator." ["articulation" "articulator"];
    "night guard" "A splint worn at night against grinding." ["bite guard" "occlusal splint" "bruxism splint"];
    "NOT COVERED" "Work that these checks are not made for; take it through the laboratory's own routine." [];
    "not seen" "Somebody looked and could not tell; what rests on it stays open." ["could not tell" "not visible"];
    "NOTHING FOUND" "Every check that applies was answered and none of them found anything; it does not mean approved." [];
    "occlusal" "On the biting surface of a back tooth." [];
    "occlusal stops" "Pairs of teeth that hold the closed models steady." ["stable stops" "centric stops"];
    "occlusion" "How the teeth meet." ["bite relation" "articulating"];
    "ON HOLD" "The work is not made until an amended order says so, or the laboratory has put its own part right." ["hold"];
    "OPEN" "Checks still need an answer." [];
    "opposing tooth" "The tooth in the other jaw that a unit bites against." ["antagonist" "opponent" "opposing teeth"];
    "option" "Something that may be done about a finding, with what it changes, costs and needs." ["remedy" "way out" "alternative"];
    "ovate pontic" "A pontic with a rounded base that sits into the gum." ["ovate"];
    "overbite" "How far the upper front teeth cover the lower ones." ["vertical overlap"];
    "overjet" "How far the upper front teeth stand in front of the lower ones." ["horizontal overlap"];
    "path of insertion" "The one direction in which a restoration goes on and off." ["path of draw" "path of placement" "draw" "does not draw"];
    "pier abutment" "An abutment with a pontic on both sides." ["pier" "intermediate abutment"];
    "pontic" "A bridge unit that replaces a missing tooth." ["dummy" "x unit"];
    "post and core" "A build-up held by a post in the root." ["post" "cast post"];
    "practice model" "A model that experts have measured, walked blind to learn; their readings are its key." ["known model" "training model"];
    "prep" "The tooth as it was cut for a crown; preparation, when writing to the dentist." ["preparation" "stump" "prepared tooth"];
    "primer" "A coat that lets resin bond to a material: phosphate (10-MDP) for zirconia and metal, silane for glass-ceramic." ["10-MDP" "silane" "coupling agent"];
    "promised day" "The day that was promised to the dentist." ["promised for"];
    "quick pass" "The few readings of each prep that are taken first; walls follow only where they are needed." [];
    "recall" "The patient's visit at which a restoration is looked at again." ["check-up"];
    "remake" "A restoration made again because the first one failed." [];
    "replay" "Judging the cases of the archive again by another flow, to see which results would move." ["replayed"];
    "resistance form" "What in the shape of a prep keeps the crown from tipping." ["resistance" "anti-tipping"];
    "retainer" "The crown of a bridge on one abutment." ["retainers" "bridge crown"];
    "retention form" "What in the shape of a prep keeps the crown from being pulled off." ["retention"];
    "retraction" "Holding the gum back so that the margin shows in the impression." ["retraction cord" "gingival displacement" "cord"];
    "ridge" "The jaw where a tooth is missing." ["alveolar ridge" "edentulous ridge"];
    "root-area ratio" "Root surface of the abutments over that of the teeth replaced." ["Ante's law" "support ratio"];
    "root-filled" "A tooth whose root canal was treated." ["root canal treated" "endodontically treated"];
    "seating" "Putting the restoration in place for good." ["cementation" "insertion" "delivery"];
    "seen quiet" "Somebody looked at the restoration in the mouth and nothing was wrong with it." ["quiet"];
    "session" "One stretch of work on a case; undo goes back to its beginning." ["sitting"];
    "shoulder" "A margin cut as a step; ceramics need its inner corner rounded." ["rounded shoulder" "butt margin"];
    "silent, of a rule" "Everything it looks at was answered, and it found nothing." [];
    "span" "The run of pontics between two abutments." ["edentulous span" "bridge span"];
    "spare clearance" "What is left of the clearance once the material has its minimum thickness." [];
    "standing instruction" "What a dentist has agreed to for all cases; it never lifts a hold." ["standing agreement" "dentist preferences" "preference"];
    "stands out" "Further from the others than chance brings about once in a hundred; less than that leans, and proves nothing." ["leans that way"];
    "stitching step" "A step in a scan where two views were joined." ["stitching error" "scan step"];
    "summary" "All that an inspection found, on one page." ["end page" "report"];
    "sweep" "A limit of a rule moved step by step over the archive, to see what each step would have asked and missed." ["swept"];
    "temporary" "The restoration worn until the final one is seated." ["provisional" "temporary crown" "interim restoration"];
    "tilt" "How far a tooth leans away from the path of insertion." ["tipped tooth"];
    "to do" "Not asked yet." ["unanswered" "open question"];
    "told, of a rule" "It found something." ["fired"];
    "total taper" "The angle that two opposite walls make together." ["convergence angle" "total occlusal convergence" "TOC" "convergence"];
    "tray" "What carries the impression material: full arch, one side, or dual-arch." ["impression tray" "closed-bite tray" "quadrant tray"];
    "turn" "Who has to act next on a case: the laboratory (ours) or the dentist." ["ours"];
    "undercut" "A part of a wall that stands outside the margin as seen along the path of insertion." ["undercuts" "blocked-out area"];
    "unit" "A crown or a pontic." ["units"];
    "veneer" "A thin facing on a front tooth; not covered here." ["laminate"];
    "vertical dimension" "How far the jaws are apart when the teeth meet." ["VDO" "OVD" "occlusal vertical dimension"];
    "WAITING" "Something that was agreed has not arrived; what rests on it is judged when it is here." ["waiting for"];
    "wall" "A side of the prep between margin and top: mesial, distal, facial or lingual." ["axial wall"];
    "WATCH" "Worth knowing while the work is made; nobody has to be called." [];
    "weakest retainer" "The retainer that would come loose first." ["lets go first"];
    "wear facet" "A flat, shiny worn spot; facets that match show grinding." ["wear facets" "facets" "matching facets"];
    "withdrawn" "Of a case: the order was taken back and nothing was made." [];
    "work ticket" "The sheet that the bench works from." ["job ticket" "lab ticket"];
    "zirconia" "A strong oxide ceramic; 3Y is the strongest and least translucent, 5Y the reverse." ["zirconium oxide" "ZrO2" "Y-TZP"];
}

impl Term {
    /// Returns whether a text names the term or one of its synonyms, as whole words.
    pub fn is_in(&self, text: &str) -> bool {
        self.is_in_lower(text, &text.to_lowercase())
    }

    /// As [`Term::is_in`], with the text in lower case at hand.
    fn is_in_lower(&self, text: &str, lower: &str) -> bool {
        if self.name.starts_with(char::is_uppercase) {
            // A badge, such as OPEN, is not the plain word.
            return has_words(text, self.name);
        }
        std::iter::once(&self.name).chain(self.also).any(|name| {
            match name.chars().any(char::is_uppercase) {
                // An abbreviation, such as TOC, is no part of speech.
                true => has_words(text, name),
                false => has_words(lower, name),
            }
        })
    }

    /// Returns the term in one line: name, sentence, synonyms.
    pub fn line(&self) -> String {
        if self.also.is_empty() {
            format!("{}: {}", self.name, self.is)
        } else {
            format!("{}: {} Also: {}.", self.name, self.is, self.also.join(", "))
        }
    }

    /// Returns where a flow uses the term: the questions that name it, and the rules whose findings do.
    pub fn used_in<'f>(&self, flow: &'f Flow) -> Uses<'f> {
        let asks = |question: &&Question| {
            let spec = flow.spec(&question.fact);
            let in_choices = spec.is_some_and(|spec| match &spec.kind {
                Kind::Choice(choices) => choices.iter().any(|(_, words)| self.is_in(words)),
                _ => false,
            });
            in_choices
                || spec.is_some_and(|spec| self.is_in(&spec.label))
                || self.is_in(&question.asks)
        };
        let told = |rule: &&Rule| self.is_in(&rule.says);
        Uses {
            questions: flow
                .questions
                .iter()
                .filter(asks)
                .map(|question| &question.fact)
                .collect(),
            rules: flow
                .rules
                .iter()
                .filter(told)
                .map(|rule| rule.id.as_str())
                .collect(),
        }
    }
}

/// Where a term is used.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Uses<'f> {
    /// The facts whose questions use it, in the order of the inspection.
    pub questions: Vec<&'f FactId>,
    /// The ids of the rules whose findings use it.
    pub rules: Vec<&'f str>,
}

/// Returns whether a text has some words one after the other, each whole; the last may be in the plural.
fn has_words(text: &str, words: &str) -> bool {
    let is_part = |c: char| c.is_alphanumeric();
    text.match_indices(words).any(|(at, _)| {
        let before = text[..at].chars().next_back();
        let behind = &text[at + words.len()..];
        let behind = behind.strip_prefix('s').unwrap_or(behind);
        !before.is_some_and(is_part) && !behind.chars().next().is_some_and(is_part)
    })
}

/// Returns whether a word of a name begins with some letters.
fn begins_a_word(name: &str, letters: &str) -> bool {
    name.split([' ', '-']).any(|word| word.starts_with(letters))
}

/// Returns the terms that a text names, each once, by name.
pub fn terms_in(text: &str) -> Vec<&'static Term> {
    let lower = text.to_lowercase();
    let named = |term: &&Term| term.is_in_lower(text, &lower);
    TERMS.iter().filter(named).collect()
}

/// Returns the terms called so, by name or synonym, whole or in part; the nearest first.
pub fn called(words: &str) -> Vec<&'static Term> {
    if words.trim().is_empty() {
        return TERMS.iter().collect();
    }
    let plain = |words: &str| words.to_lowercase().replace('-', " ").trim().to_owned();
    let wanted = plain(words);
    if !wanted.contains(char::is_alphanumeric) {
        return Vec::new();
    }
    let nearness = |term: &Term| {
        let names: Vec<String> = std::iter::once(&term.name)
            .chain(term.also)
            .map(|name| plain(name))
            .collect();
        if names[0] == wanted {
            Some(0)
        } else if names.contains(&wanted) {
            Some(1)
        } else if names.iter().any(|name| has_words(name, &wanted)) {
            Some(2)
        } else if names.iter().any(|name| begins_a_word(name, &wanted)) {
            Some(3)
        } else {
            None
        }
    };
    let mut found: Vec<_> = TERMS
        .iter()
        .filter_map(|term| Some((nearness(term)?, term)))
        .collect();
    found.sort_by_key(|(near, _)| *near);
    // Where one is called exactly so, those that only contain the word are beside the point.
    let best = found.first().map_or(0, |(near, _)| *near);
    found
        .into_iter()
        .filter(|(near, _)| *near == best || best >= 2)
        .map(|(_, term)| term)
        .collect()
}

/// Returns the other words for the terms that a text names, so that it is found by them too.
pub fn other_words(text: &str) -> String {
    let mut words = String::new();
    for term in terms_in(text) {
        for name in std::iter::once(&term.name).chain(term.also) {
            words.push(' ');
            words.push_str(name);
        }
    }
    words.to_lowercase()
}

/// What stands over the terms in help.
pub const HEADING: &str = "Terms on this page";

/// Says that no term is called so.
pub fn no_term(words: &str) -> String {
    let words: String = words.chars().take(40).collect();
    format!("no term is called \"{words}\"")
}

/// Says what to try instead of a word that is no term.
pub fn try_another(near: Option<&str>) -> String {
    match near {
        Some(near) => format!("did you mean \"{near}\"? `casepan words` lists all"),
        None => "`casepan words` lists all terms".to_owned(),
    }
}

/// Says what else a term is called.
pub fn also(names: &[&str]) -> String {
    format!("Also: {}", names.join(", "))
}

/// Says which questions use a term, by their labels.
pub fn asked_as(labels: &[&str]) -> String {
    format!("Asked as: {}", labels.join(", "))
}

/// Says which findings use a term, by the ids of their rules.
pub fn findings(rules: &[&str]) -> String {
    format!("Findings: {}", rules.join(", "))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn terms_stand_in_order_and_no_word_means_two_things() {
        let mut names: Vec<String> = TERMS.iter().map(|term| term.name.to_lowercase()).collect();
        let sorted = {
            let mut sorted = names.clone();
            sorted.sort();
            sorted
        };
        assert_eq!(names, sorted, "by name");
        for term in TERMS {
            names.extend(term.also.iter().map(|also| also.to_lowercase()));
        }
        names.sort();
        let twice: Vec<_> = names.windows(2).filter(|two| two[0] == two[1]).collect();
        assert!(twice.is_empty(), "{twice:?}");
    }

    #[test]
    fn a_word_is_found_whole_and_in_the_plural() {
        let names = |text| {
            terms_in(text)
                .iter()
                .map(|term| term.name)
                .collect::<Vec<_>>()
        };
        assert_eq!(names("the finish lines of 46"), ["margin"]);
        assert_eq!(names("marginal gap"), [""; 0]);
        assert_eq!(names("OPEN: 3 to do"), ["OPEN", "to do"]);
        assert_eq!(names("an open box"), [""; 0]);
        assert_eq!(called("finish line")[0].name, "margin");
        assert_eq!(called("TOC")[0].name, "total taper");
        assert!(called("quux").is_empty());
    }
}
