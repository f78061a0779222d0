//! The rows of the catalogue. Bounds are defined here and nowhere else.

use std::borrow::Cow;
use std::collections::HashMap;
use std::sync::LazyLock;

use super::{ChoiceSpec, Chosen, FactId, FactSpec, Kind, List, Origin, PlaceKind, Unit, Value};

/// Defines the rows, their order and a constant for each fact's id from one list.
macro_rules! catalogue {
    ($($name:ident $id:literal $at:ident $origin:ident ($($kind:tt)+) $label:literal $sentence:literal;)+) => {
        #[allow(non_camel_case_types, clippy::upper_case_acronyms)]
        enum Row { $($name),+ }

        $(#[doc = $sentence] pub const $name: FactId = FactId::Known(Row::$name as u16);)+

        $(choices!($($kind)+);)+

        /// Every fact that the program knows, in the order of the inspection.
        pub static CATALOGUE: &[FactSpec] = &[$(FactSpec {
            id: Cow::Borrowed($id),
            at: PlaceKind::$at,
            origin: Origin::$origin,
            kind: kind!($($kind)+),
            label: Cow::Borrowed($label),
            sentence: Cow::Borrowed($sentence),
        }),+];
    };
}

/// The choices of a fact that the program itself asks for, as a type: whoever matches one cannot miss another.
macro_rules! choices {
    ($name:ident: $($variant:ident $choice:literal = $words:literal),+) => {
        #[doc = concat!("Choices of the catalogue: ", $($words, ", "),+, "and no other.")]
        #[derive(Clone, Copy, PartialEq, Eq, Debug)]
        pub enum $name { $(#[doc = $words] $variant),+ }

        impl $name {
            /// Every choice, in the order of its digit.
            pub const ALL: &[$name] = &[$($name::$variant),+];
            const SPECS: &[ChoiceSpec] = &[$((Cow::Borrowed($choice), Cow::Borrowed($words))),+];

            /// Returns the id as it stands in files.
            pub fn id(self) -> &'static str {
                match self { $($name::$variant => $choice),+ }
            }
        }

        impl Chosen for $name {
            fn named(id: &str) -> Option<$name> {
                match id {
                    $($choice => Some($name::$variant),)+
                    _ => None,
                }
            }
        }

        impl From<$name> for Value {
            fn from(choice: $name) -> Value {
                Value::Choice(choice.id().to_owned())
            }
        }
    };
    ($($other:tt)+) => {};
}

macro_rules! kind {
    (of $name:ident) => { Kind::Choice(Cow::Borrowed($name::SPECS)) };
    ($name:ident: $($choices:tt)+) => { Kind::Choice(Cow::Borrowed($name::SPECS)) };
    (yes no) => { Kind::YesNo };
    (day) => { Kind::Day };
    (text) => { Kind::Text };
    (teeth) => { Kind::Teeth };
    (materials) => { Kind::Listed(List::Materials) };
    (cements) => { Kind::Listed(List::Cements) };
    ($unit:ident $least:literal to $most:literal) => {
        Kind::Number { unit: Unit::$unit, least: $least, most: $most }
    };
    ($($choice:literal = $words:literal),+) => {{
        const CHOICES: &[ChoiceSpec] = &[$((Cow::Borrowed($choice), Cow::Borrowed($words))),+];
        Kind::Choice(Cow::Borrowed(CHOICES))
    }};
}

catalogue! {
    // The order.
    ORDER_MATCHES "order.matches" Case Asked ("yes" = "yes, tooth for tooth", "no-preparation" = "an ordered unit has no preparation or space", "not-ordered" = "a prepared tooth is not ordered") "order matches models" "Whether each ordered unit is on the models and each prepared tooth on the order.";
    ORDER_SHADE "order.shade_given" Case Asked (yes no) "shade given" "Whether the order names a shade.";
    ORDER_AGE "order.age_band" Case Asked ("under-18" = "under 18", "18-64" = "18 to 64", "65-over" = "65 and over") "age band" "The patient's age band; nothing else about the patient is kept.";
    ORDER_METAL "order.metal_sensitivity" Case Asked (yes no) "metal sensitivity" "Whether the order notes a metal sensitivity.";
    ORDER_SEATING "order.seating_day" Case Asked (day) "seating day" "The day on which the restoration will be seated.";
    ORDER_DUE "order.due_day" Case Asked (day) "due at the bench" "The day by which the bench has to be done.";
    ORDER_PROMISED "order.promised_day" Case Asked (day) "promised day" "The day that was promised to the dentist.";
    ORDER_FEES "order.fee_lines" Case Asked (text) "items on the invoice" "Items on the invoice that a change would affect.";
    ORDER_DENTIST "order.dentist" Case Asked (text) "dentist's code" "The laboratory's own code for the dentist; never a name.";
    CALL_BY "call.answer_by" Case Asked (day) "answer needed by" "The day by which the laboratory needs an answer.";
    CALL_TEMPORARY "call.temporary" Case Asked ("holds" = "in place and sound", "loose" = "loose", "broken" = "cracked or broken", "none" = "none in place") "temporary" "The state of the temporary in the mouth.";
    CALL_DECIDES "call.who_decides" Case Asked ("dentist" = "the dentist", "colleague" = "another dentist of the practice", "assistant" = "an authorised assistant") "who may decide" "Who at the practice may decide; someone who only takes calls may not.";
    CALL_PHOTO "call.photo_sent" Case Asked (yes no) "photo sent" "Whether a photograph was sent before the call.";
    ORDER_SCOPE "order.scope" Restoration Asked ("teeth" = "crown or bridge", "veneer" = "veneer", "inlay-onlay" = "inlay or onlay", "partial-crown" = "partial crown", "endocrown" = "endocrown", "adhesive-bridge" = "adhesive (wing) bridge", "post-core" = "post and core only", "implant" = "on an implant", "tooth-implant" = "tooth joined to implant", "telescope" = "telescope", "denture" = "denture", "provisional" = "long-term temporary") "type of work" "The type of work; only crowns and bridges on prepared teeth are covered.";
    ORDER_MATERIAL "order.material" Restoration Asked (materials) "material" "The material that the order names.";
    ORDER_CEMENT "order.cement" Restoration Asked (cements) "planned cement" "The class of cement that the dentist plans to use.";
    FITTING_SURFACE "order.fitting_surface" Restoration Asked (Treated: NotStated "not-said" = "not stated", EtchedSilane "etched-silane" = "etched and silanised", Etched "etched" = "etched, no silane", AbradedPrimer "abraded-primer" = "air-abraded and primed", Abraded "abraded" = "air-abraded, no primer", Nothing "nothing" = "left untreated") "fitting surface" "The fitting-surface treatment that the order asks for.";
    ORDER_MAKE "order.make" Restoration Asked ("first" = "new", "remake" = "remake") "new or remake" "Whether the restoration is new or a remake.";
    LAST_TOOTH "restoration.last_tooth" Restoration Asked (yes no) "last tooth in the arch" "Whether a unit of the restoration is the last tooth in the arch.";
    NEIGHBOURS "restoration.neighbours" Restoration Asked ("both" = "sound on both sides", "one" = "sound on one side only", "none" = "none") "neighbours" "Whether there are sound, unprepared teeth on both sides of the restoration.";
    // The previous restoration, for a remake.
    REMAKE_WHAT "remake.what" Restoration Asked ("came-off" = "came off", "broke" = "broke", "open-margin" = "open margin", "high" = "high contact", "contact" = "poor contact", "shade" = "wrong shade", "other" = "other") "what happened" "What went wrong with the previous restoration.";
    REMAKE_CASE "remake.case" Restoration Asked (text) "case that came back" "The laboratory's number of the case that came back and is made again here.";
    REMAKE_BROKE "remake.broke_at" Restoration Asked ("connector" = "at a connector", "retainer" = "through a crown", "edge" = "at the margin", "veneer" = "veneer only") "broke where" "Where the previous restoration broke.";
    BROKE_HERE "remake.broke_here" Connector Asked (yes no) "broke here" "Whether the previous restoration broke at this connector.";
    REMAKE_TIMES "remake.times" Restoration Asked (Count 1.0 to 9.0) "times made before" "How many times the restoration was made before.";
    REMAKE_LOOSE "remake.loose" Restoration Asked (teeth) "loose retainers" "The abutments on which the previous restoration was loose.";
    REMAKE_CEMENT "remake.cement_left" Restoration Asked ("restoration" = "in the restoration", "tooth" = "on the tooth", "both" = "on both") "old cement stayed" "Where the old cement stayed when the restoration came off.";
    REMAKE_OLD_CEMENT "remake.old_cement" Restoration Asked (cements) "old cement" "The class of cement that was used last time.";
    REMAKE_CAUSE "remake.cause_written" Restoration Asked (yes no) "cause written down" "Whether the cause of the failure is written down.";
    // Records.
    RECORDS_KIND "records.kind" Case Asked (Records: Impression "impression" = "impression", Scan "scan" = "scan", Models "model" = "models poured by the practice") "impression or scan" "Whether the practice sent an impression, a scan or poured models.";
    MODEL_SOUND "records.model_sound" Case Asked (yes no) "practice's models sound" "Whether the models poured by the practice are free of bubbles, chips and broken teeth.";
    DISINFECTED "records.disinfected" Case Asked (yes no) "disinfected" "Whether what came in is marked as disinfected.";
    TRAY "impression.tray" Case Asked ("full-arch" = "full arch", "quadrant" = "quadrant", "dual-arch" = "dual-arch") "tray" "How much of the arch the tray covers.";
    TRAY_STIFF "impression.stiffness" Case Asked (TrayStiffness: Metal "metal" = "metal", Rigid "rigid-plastic" = "rigid plastic", Flexible "soft-plastic" = "flexible plastic", Custom "custom" = "custom tray") "tray stiffness" "How stiff the tray is.";
    IMPRESSION_MATERIAL "impression.material" Case Asked ("vinyl-polysiloxane" = "vinyl polysiloxane", "polyether" = "polyether", "vinyl-polyether" = "vinyl polyether silicone", "condensation" = "condensation silicone", "polysulfide" = "polysulfide", "alginate" = "alginate") "impression material" "The impression material.";
    TAKEN "impression.taken" Case Asked (day) "taken on" "The day the impression was taken.";
    POURED "impression.poured" Case Asked (day) "poured on" "The day the impression was or will be poured.";
    IMPRESSION_WAIT "impression.waited" Case Asked ("half-hour" = "up to half an hour", "hour" = "up to an hour", "longer" = "over an hour", "label" = "longer, within its label") "wait before the pour" "How long a material that shrinks within the hour waited before it was poured.";
    CANINE_IN "impression.canine_in" Case Asked (yes no) "canine included" "Whether the impression includes the canine on this side.";
    STOPS "impression.stops" Case Asked (yes no) "stops on unprepared teeth" "Whether the impression shows stops on unprepared teeth on both sides of the prep.";
    ON_TISSUE "impression.tray_on_tissue" Case Asked (yes no) "tray shows through" "Whether the tray touches tissue or teeth and shows through the material.";
    POUR_SOUND "records.pour_sound" Case Asked (yes no) "our pour is sound" "Whether our own stone, pins and dies are free of faults.";
    SCAN_GAPS "scan.gaps" Case Asked ("none" = "none", "contact" = "at a contact", "margin" = "at a margin") "holes in the scan" "Where the scan has holes.";
    SCAN_STITCH "scan.stitch_step" Case Asked (yes no) "stitching step" "Whether the scan has a stitching step.";
    SCAN_SIZE "scan.size" Case Asked ("true" = "true size", "ten-times" = "ten times off", "inch" = "25.4 times off", "mirrored" = "mirrored") "size of the file" "Whether the file opens at true size and not mirrored.";
    SCAN_LINE "scan.margin_line" Case Asked ("none" = "not marked", "on-edge" = "on the margin", "off-edge" = "more than 0.2 mm off") "margin line of the scan" "Whether the dentist's margin line is on the visible margin.";
    SCAN_BITES "scan.bites_agree" Case Asked (yes no) "bite scans agree" "Whether the left and right bite scans give the same bite.";
    OPPOSING "records.opposing" Case Asked ("present" = "present, will stay", "part" = "missing in part", "missing" = "missing", "to-be-replaced" = "present, due for replacement", "over-erupted" = "present, over-erupted") "opposing arch" "Whether the opposing arch was sent, and whether its teeth will stay as they are.";
    OPPOSING_STATE "records.opposing_state" Case Asked ("sound" = "sound", "to-be-replaced" = "due for replacement", "over-erupted" = "over-erupted") "opposing teeth" "Whether the opposing teeth will stay as they are.";
    TRIMMED "records.untrimmed_kept" Case Asked (yes no) "untrimmed model" "Whether an untrimmed model that shows the gum is at hand.";
    TEMPORARY_MODEL "records.temporary_model" Case Asked (yes no) "model of the temporary" "Whether a model of the temporary came with the case.";
    INCISAL_EDGE "records.incisal_edge" Case Asked (yes no) "incisal edge position" "Whether the incisal edge position is given.";
    // The bite.
    BITE_RECORD "bite.record" Case Asked ("none" = "none", "prepared" = "prepared teeth only", "full" = "whole arch", "scan" = "scanned") "bite record" "How the bite was recorded, and over which teeth.";
    BITE_CLOSES "bite.models_close" Case Asked ("one-way" = "in one bite", "two-ways" = "in two bites") "models seat by hand" "Whether the models seat by hand in one repeatable bite, without rocking.";
    BITE_STOPS "bite.stable_stops" Case Asked (Count 0.0 to 20.0) "stable stops" "Number of pairs of teeth that hold the closed models.";
    BITE_CLASS "bite.class" Case Asked ("I" = "class I", "II-1" = "class II, division 1", "II-2" = "class II, division 2", "III" = "class III") "Angle class" "Angle class of the occlusion.";
    BITE_ANTERIOR "bite.anterior" Case Asked ("normal" = "normal overlap", "edge" = "edge to edge", "open" = "open bite", "deep" = "deep bite", "reversed" = "crossbite") "anterior occlusion" "Anterior occlusion of the closed models.";
    ARTICULATION "bite.articulation" Case Asked ("hand" = "by hand or on a hinge", "average" = "to average values", "face-bow" = "by face-bow or measured values") "mounting" "How the models are mounted.";
    VERTICAL "bite.vertical" Case Asked ("kept" = "kept", "changed" = "changed", "not-said" = "not stated") "vertical dimension" "Whether the vertical dimension is to be kept.";
    OVERBITE "bite.overlap_vertical" Case Asked (Mm 0.0 to 12.0) "vertical overlap" "Vertical overlap of the front teeth.";
    OVERJET "bite.overlap_horizontal" Case Asked (Mm 0.0 to 15.0) "horizontal overlap" "Horizontal overlap of the front teeth.";
    GUIDANCE "bite.guidance" Case Asked ("canine" = "canine guidance", "group" = "group function", "front" = "anterior guidance", "unclear" = "unclear") "guidance" "Which teeth guide the jaw in lateral movement.";
    OPPOSED_BY "bite.opposed_by" Restoration Asked (OpposedBy: Natural "natural" = "natural teeth", Fixed "fixed" = "crown or bridge", Removable "removable" = "removable denture", Implant "implant" = "implant restoration", Nothing "nothing" = "nothing") "opposed by" "What opposes the restoration.";
    GRINDING "habit.grinding" Case Asked ("none" = "none known", "suspected" = "suspected", "certain" = "certain") "grinding or clenching" "Whether the patient grinds or clenches.";
    FACETS "habit.facets" Case Asked ("none" = "none", "light" = "light", "heavy" = "heavy and matching") "wear facets" "The wear facets on the models.";
    GUARD "habit.night_guard" Case Asked (yes no) "night guard" "Whether the patient wears a night guard.";
    // Units and preps.
    USUAL_OCCLUSION "restoration.usual_occlusion" Restoration Asked (teeth) "normal occlusion" "Among the units inspected, those neither edge to edge nor in crossbite.";
    USUAL_PATH "restoration.usual_path" Restoration Asked (teeth) "without undercut" "Among the preps inspected, those without an undercut along the path of insertion.";
    USUAL_PREPS "restoration.usual_preps" Restoration Asked (teeth) "nothing unusual" "Among the preps inspected, those with nothing of what is asked by exception.";
    OCCLUSION "unit.occlusion" Unit Asked ("normal" = "normal", "edge" = "edge to edge", "crossed" = "in crossbite") "occlusion" "Occlusion of this unit.";
    MARGIN_VISIBLE "tooth.margin_seen" Abutment Asked ("all" = "all round", "under-1" = "hidden for under 1 mm", "1-2" = "hidden for 1 to 2 mm", "over-2" = "hidden for over 2 mm") "visible margin" "Over what length the margin cannot be seen.";
    TOOTH_FORM "tooth.margin_form" Abutment Asked (MarginForm: Chamfer "chamfer" = "chamfer", Shoulder "shoulder" = "rounded shoulder", SharpShoulder "sharp-shoulder" = "sharp shoulder", Bevel "bevel" = "bevel", Feather "feather" = "feather edge", Lipped "lipped" = "lipped (J-shaped)", Differs "differs" = "differs from wall to wall") "margin form" "Margin form, if it is the same all round.";
    TOOTH_WIDTH "tooth.margin_width" Abutment Asked (Mm 0.0 to 3.0) "margin width" "Margin width at its narrowest.";
    TOOTH_GUM "tooth.margin_to_gum" Abutment Asked (GumLine: Above "above" = "above the gum", At "at" = "at the gum", UnderOne "under-1" = "up to 1 mm below", Deeper "deeper" = "more than 1 mm below") "margin to gum" "Margin level at its deepest, relative to the gum.";
    HEIGHT "tooth.height" Abutment Asked (Mm 0.5 to 12.0) "height" "Average prep height from margin to top.";
    MARGIN_MD "tooth.width_margin_md" Abutment Asked (Mm 1.0 to 14.0) "base width m-d" "Mesiodistal width of the prep at the margin.";
    TOP_MD "tooth.width_top_md" Abutment Asked (Mm 0.5 to 14.0) "top width m-d" "Mesiodistal width of the prep at the top.";
    MARGIN_FL "tooth.width_margin_fl" Abutment Asked (Mm 1.0 to 14.0) "base width f-l" "Faciolingual width of the prep at the margin.";
    TOP_FL "tooth.width_top_fl" Abutment Asked (Mm 0.5 to 14.0) "top width f-l" "Faciolingual width of the prep at the top.";
    CLEARANCE "tooth.clearance" Abutment Asked (Mm 0.0 to 6.0) "clearance" "Smallest clearance between prep and opposing tooth, in closing and sliding.";
    UNDERCUT "tooth.undercut" Abutment Asked (Undercut: None "none" = "none", ToTenth "to-0.1" = "up to 0.1 mm", ToThree "to-0.3" = "up to 0.3 mm", Over "over-0.3" = "more than 0.3 mm", AtMargin "at-margin" = "reaches the margin") "undercut" "Undercut along the path of insertion; on a bridge, along the common path.";
    GROOVES "tooth.grooves" Abutment Asked (Grooves: None "none" = "none", Proximal "proximal" = "mesial and distal", FacialLingual "facial-lingual" = "facial and lingual", All "all" = "both pairs") "grooves or boxes" "Which walls have grooves or boxes.";
    CORE "tooth.core" Abutment Asked ("none" = "tooth only", "filled" = "filling, margin on tooth", "margin-on-core" = "margin on the build-up", "post" = "post and core", "post-loose" = "loose post") "build-up" "Whether the prep is tooth, filling, or post and core.";
    UNEVEN "tooth.uneven" Abutment Asked (Uneven: TopSlopes "top-slopes" = "sloping top", MarginSteps "margin-steps" = "stepped margin") "unequal walls" "Why the wall heights differ: sloping top or stepped margin.";
    WALL_BY_WALL "tooth.wall_by_wall" Abutment Asked (yes no) "wall by wall" "Whether the technician asked to inspect this prep wall by wall.";
    MARGIN_DEFECT "tooth.margin_defect" Abutment Asked ("none" = "none", "chipped" = "die chipped", "bubble" = "bubble at the margin", "pulled" = "pull or drag at the margin", "lipped" = "lipped (J-shaped) margin") "margin defect" "A defect at the margin.";
    NEIGHBOUR_LEANS "tooth.neighbour_in_path" Abutment Asked (yes no) "neighbour in path" "Whether a neighbouring tooth blocks insertion or leaves the contact out of reach.";
    TILT "tooth.tilt" Abutment Asked (Deg 0.0 to 60.0) "tilt" "Tilt of the tooth against the common path.";
    TILT_TOWARD "tooth.tilt_toward" Abutment Asked (Toward: Mesial "mesial" = "mesially", Distal "distal" = "distally", Facial "facial" = "facially", Lingual "lingual" = "lingually") "tilts" "Direction in which the tooth tilts against the common path.";
    COLOUR "tooth.prep_colour" Abutment Asked ("normal" = "normal", "dark" = "dark") "prep colour" "Whether the prep is dark.";
    DENTURE "tooth.carries_denture" Abutment Asked (yes no) "carries a denture" "Whether a partial denture rests or clasps on this tooth.";
    SHARP_EDGES "tooth.sharp_edges" Abutment Asked (yes no) "sharp edges" "Whether the prep has sharp edges or fins that a milling bur cannot follow.";
    CONTACT "tooth.contact" Abutment Asked ("usual" = "normal", "gap" = "gap to the neighbour", "rotated" = "rotated or tipped neighbour") "contacts" "Whether the neighbours allow a normal contact.";
    ROOT_FILLED "tooth.root_filled" Abutment Asked (yes no) "root-filled" "Whether the tooth is root-filled, as the dentist reports.";
    POST "tooth.post" Abutment Asked ("fibre" = "fibre", "metal" = "metal", "ceramic" = "ceramic") "post material" "Material of the post.";
    SOUND_TOOTH "tooth.sound_above_margin" Abutment Asked (Mm 0.0 to 8.0) "sound tooth" "Height of sound tooth above the margin, as the dentist reports.";
    BONE_LEVEL "tooth.bone_to_margin" Abutment Asked (Mm 0.0 to 12.0) "margin to bone" "Distance from margin to bone, as the dentist reports.";
    MOBILITY "tooth.mobility" Abutment Asked ("none" = "none", "I" = "grade I", "II" = "grade II", "III" = "grade III") "mobility" "Mobility, as the dentist reports.";
    // Walls.
    WALL_HEIGHT "wall.height" Wall Asked (Mm 0.0 to 12.0) "height" "Height of the wall from margin to top.";
    WALL_FORM "wall.form" Wall Asked (WallForm: Straight "straight" = "straight", ConcaveTop "dished-top" = "concave above a straight part", Concave "dished" = "fully concave") "wall form" "Whether the wall is straight or concave.";
    WALL_STRAIGHT "wall.straight_height" Wall Asked (Mm 0.0 to 12.0) "straight part" "Height of the straight part of a concave wall.";
    WALL_TAPER "wall.taper" Wall Asked (Deg 0.0 to 45.0) "taper" "Taper of this wall to the path, from a section or a scan; undercuts are read with the surveyor.";
    MARGIN_STEP "wall.margin_step" Wall Asked (Mm 0.0 to 5.0) "margin step" "Height of the margin at this wall above its lowest wall.";
    MARGIN_FORM "wall.margin_form" Wall Asked ("chamfer" = "chamfer", "shoulder" = "rounded shoulder", "sharp-shoulder" = "sharp shoulder", "bevel" = "bevel", "feather" = "feather edge", "lipped" = "lipped (J-shaped)") "margin form" "Margin form at this wall.";
    MARGIN_DEPTH "wall.margin_width" Wall Asked (Mm 0.0 to 3.0) "margin width" "Margin width at this wall.";
    MARGIN_GUM "wall.margin_to_gum" Wall Asked (of GumLine) "margin to gum" "Margin level at this wall, relative to the gum.";
    // Pontics.
    SPAN "pontic.span" Pontic Asked (Mm 2.0 to 16.0) "pontic width" "Mesiodistal space for the pontic.";
    RIDGE "pontic.ridge" Pontic Asked ("healed" = "healed", "healing" = "still healing", "no-access" = "cannot be kept clean", "sunken" = "healed but sunken", "sharp" = "healed, narrow or sharp") "ridge" "Condition and shape of the ridge under the pontic.";
    PONTIC_CONTACT "pontic.contact" Pontic Asked ("side" = "also when the jaw slides", "closing" = "only on closing") "pontic contact" "When the pontic touches the opposing teeth.";
    PONTIC_FORM "pontic.form" Pontic Asked ("not-said" = "not stated", "modified-lap" = "modified ridge lap", "ovate" = "ovate", "clear" = "clear of the ridge", "full-lap" = "full ridge lap") "pontic form" "The pontic form that the order names.";
    // Connectors.
    CONNECTOR_SPACE "restoration.connector_space" Restoration Asked (ConnectorSpace: Ample "ample" = "enough everywhere", Tight "tight" = "tight somewhere") "space for connectors" "Whether there clearly is space for every connector that the material needs.";
    SPACE_HEIGHT "connector.space_height" Connector Asked (Mm 0.0 to 12.0) "space height" "Height available for the connector, from gum to edge, on the models.";
    SPACE_WIDTH "connector.space_width" Connector Asked (Mm 0.0 to 12.0) "space width" "Faciolingual width available for the connector, on the models.";
    CONNECTOR_HEIGHT "connector.height" Connector Asked (Mm 0.5 to 12.0) "height" "Height of the designed connector.";
    CONNECTOR_WIDTH "connector.width" Connector Asked (Mm 0.5 to 12.0) "width" "Faciolingual width of the designed connector.";
    CONNECTOR_SECTION "connector.section" Connector Asked (SectionForm: Round "round" = "round", RoundedBox "rounded-box" = "rounded box", SharpBox "sharp-box" = "box with sharp corners") "section" "Shape of the designed connector's section.";

    // Derived: units and restorations.
    R_KIND "restoration.kind" Restoration Derived ("crown" = "crown", "bridge" = "bridge", "splinted" = "splinted crowns", "cantilever" = "cantilever") "judged as" "What the restoration is judged as, from the position of its abutments.";
    R_UNITS "restoration.units" Restoration Derived (Count 1.0 to 32.0) "units" "Number of units of the restoration.";
    R_SKIPPED "restoration.teeth_skipped" Restoration Derived (Count 0.0 to 16.0) "positions left out" "Number of tooth positions between its units that are left out.";
    R_PLACE "restoration.region" Restoration Derived ("front" = "front", "back" = "back", "both" = "front and back") "region" "Whether the units are front teeth, back teeth or both.";
    SPAN_ALLOWED "restoration.span_allowed" Restoration Derived (yes no) "within indication" "Whether the material is indicated for this many units in this place.";
    SPAN_BEYOND "restoration.span_beyond" Restoration Derived ("nothing" = "nothing", "units" = "too many units", "molar-pontic" = "a molar is replaced", "cantilever" = "a cantilever pontic", "molar-abutment" = "a molar is a retainer", "joined-units" = "too many splinted crowns", "joined-molar" = "a molar among the splinted crowns") "beyond indication" "What exceeds the indication of the material: units, a molar, a cantilever. A single crown has no span.";
    SUPPORT "restoration.support_ratio" Restoration Derived (Ratio 0.0 to 20.0) "root-area ratio" "Root area of the abutments over the root area of the missing teeth.";
    CANTILEVER_ARM "restoration.cantilever_pontics" Restoration Derived (Count 0.0 to 16.0) "cantilever pontics" "Number of pontics beyond the last abutment at one end.";
    R_GUIDES "restoration.has_canine" Restoration Derived (yes no) "includes a canine" "Whether a unit is a canine.";
    DEFLECTION "restoration.deflection_ratio" Restoration Derived (Ratio 0.0 to 5000.0) "deflection ratio" "Deflection of the longest span over that of one of its pontics alone, with the same section.";
    CEMENT_BONDS "order.cement_bonds" Restoration Derived (yes no) "cement bonds" "Whether the planned cement bonds; one that sets with water does not.";
    CEMENT_DRY "order.cement_dry_field" Restoration Derived (yes no) "cement needs a dry field" "Whether the planned cement must be kept free of saliva until it has set.";
    CEMENT_PRIMER "order.cement_primer" Restoration Derived (yes no) "cement needs a primer" "Whether the planned cement is bonded step by step, over a primer.";
    MATERIAL_TEMPORARY "order.material_temporary" Restoration Derived (yes no) "temporary material" "Whether the material is for temporaries only.";
    CEMENT_TEMPORARY "order.cement_temporary" Restoration Derived (yes no) "provisional cement" "Whether the planned cement is a provisional one.";
    PRIMER_FITS "order.primer_fits" Restoration Derived (yes no) "primer suits material" "Whether the primer of the planned cement suits the material.";
    FITTING_MATTERS "order.fitting_surface_matters" Restoration Derived (yes no) "fitting surface matters" "Whether bonding this material with this cement needs a fitting-surface treatment, or is spoilt by one.";
    FITTING_LACKS "order.fitting_surface_lacks" Restoration Derived (yes no) "treatment missing" "Whether a fitting-surface treatment that bonding this material needs is left out.";
    FITTING_BARRED "order.fitting_surface_barred" Restoration Derived (yes no) "treatment unsuitable" "Whether a fitting-surface treatment is ordered that does not suit this material.";
    DISTANCE_ERROR "restoration.distance_error" Restoration Derived (Micron 0.0 to 5000.0) "abutment distance error" "Expected error of the distance between the outermost preps on the model.";
    CONNECTOR_LEAST "restoration.connector_share" Restoration Derived (Ratio 0.0 to 50.0) "smallest connector" "Area of the smallest designed connector over the minimum that the material needs there.";
    SAME_CEMENT "remake.same_cement" Restoration Derived (yes no) "same cement as before" "Whether the planned cement is the one used last time.";
    SOME_LOOSE "remake.some_loose" Restoration Derived (yes no) "only some retainers loose" "Whether the previous restoration was loose on some of its abutments and held on others.";
    IMPRESSION_AGE "impression.age_days" Case Derived (Count 0.0 to 3660.0) "days to the pour" "Days from taking the impression to pouring it.";
    DAYS_REVERSED "impression.days_reversed" Case Derived (yes no) "poured before taken" "Whether the pour is dated before the impression.";
    // Derived: preps.
    T_CLASS "tooth.class" Unit Derived ("incisor" = "incisor", "canine" = "canine", "premolar" = "premolar", "molar" = "molar") "tooth type" "The type of tooth.";
    PIER "tooth.is_pier" Abutment Derived (yes no) "pier abutment" "Whether the tooth stands alone between two pontics, with abutments beyond both.";
    FREE_PONTIC "pontic.is_cantilever" Pontic Derived (yes no) "cantilever pontic" "Whether the pontic is beyond the last abutment.";
    HEIGHT_USED "tooth.height_used" Abutment Derived (Mm 0.0 to 12.0) "height" "Average prep height: of the four walls if they were measured, otherwise the quick reading.";
    BASE_USED "tooth.base" Abutment Derived (Mm 0.0 to 14.0) "faciolingual width" "Faciolingual width of the prep at the margin, to which its height is compared.";
    HEIGHT_TO_BASE "tooth.height_to_base" Abutment Derived (Ratio 0.0 to 6.0) "height to width" "Average height over the faciolingual width at the margin.";
    TAPER_MD "tooth.total_taper_md" Abutment Derived (Deg -40.0 to 90.0) "total taper m-d" "Total taper of the mesial and distal walls.";
    TAPER_FL "tooth.total_taper_fl" Abutment Derived (Deg -40.0 to 90.0) "total taper f-l" "Total taper of the facial and lingual walls.";
    TAPER_MOST "tooth.total_taper" Abutment Derived (Deg -40.0 to 90.0) "total taper" "The larger of the two total tapers.";
    QUICK_FLAG "tooth.quick_flag" Abutment Derived (yes no) "flagged by quick pass" "Whether the quick readings call for an inspection wall by wall.";
    HEIGHTS_DIFFER "tooth.heights_differ" Abutment Derived (Mm 0.0 to 12.0) "walls differ by" "Difference between the tallest and the shortest wall; a palatal wall that may be low is left out.";
    CLEARANCE_SHORT "tooth.clearance_short" Abutment Derived (Mm -6.0 to 4.0) "clearance short by" "The material's minimum occlusal thickness, less the clearance.";
    CLEARANCE_SPARE "tooth.clearance_spare" Abutment Derived (Mm -4.0 to 6.0) "spare clearance" "The clearance, less the material's minimum occlusal thickness.";
    FAILING "tooth.failing_directions" Abutment Derived (Count 0.0 to 4.0) "sides without resistance" "In how many of four directions the opposite wall fails the half-wall rule.";
    PAIR_FAILS "tooth.opposite_pair_fails" Abutment Derived (yes no) "opposite walls fail" "Whether two opposite walls both fail the half-wall rule.";
    GRIP "restoration.grip" Restoration Derived (Ratio 0.0 to 100.0) "grip" "Cement demand of the recommended minimum single crown over the demand here, at the weakest retainer under its hardest load; 1 is equal, more is better.";
    PLAN_SHARE "restoration.plan_share" Restoration Derived (Ratio 0.0 to 100.0) "grip from the plan" "The plan's share of grip at the weakest retainer: minimum single crown over this restoration on minimum preps.";
    PATH_GAIN "restoration.path_gain" Restoration Derived (Deg 0.0 to 90.0) "gain from common path" "How much more taper the steepest wall has to the common path than to the mean of the tooth axes.";
    GRIP_FIRST "tooth.grip" Abutment Derived (Ratio 0.0 to 100.0) "grip" "Grip of the restoration at its weakest retainer.";
    PREP_SHARE "tooth.prep_share" Abutment Derived (Ratio 0.0 to 100.0) "grip from the prep" "The prep's share of grip: this restoration on minimum preps over the same on the preps as they are.";
    WEAKEST_SHARE "tooth.weakest_share" Abutment Derived (Ratio 0.0 to 1.0) "grip against best prep" "Grip of the weakest prep over that of the best prep of the restoration.";
    RETAINER_GRIP "tooth.retainer_grip" Abutment Derived (Ratio 0.0 to 100.0) "retainer grip" "Cement demand of the minimum single crown on this tooth over the demand on this retainer, under its own hardest load.";
    // Derived: whether readings agree with each other, and how far they are from usual sizes.
    SHAPE "tooth.shape_possible" Abutment Derived (yes no) "readings fit one shape" "Whether the readings of the prep can belong to one shape; if not, nothing is calculated from them.";
    TOP_OVER_MD "tooth.top_over_margin_md" Abutment Derived (Mm 0.0 to 14.0) "top over margin m-d" "How much wider the top is than the margin, mesial to distal, beyond what the undercut found explains.";
    TOP_OVER_FL "tooth.top_over_margin_fl" Abutment Derived (Mm 0.0 to 14.0) "top over margin f-l" "How much wider the top is than the margin, facial to lingual, beyond what the undercut found explains.";
    LEAST_TAPER "tooth.least_taper" Abutment Derived (Deg 0.0 to 90.0) "smaller total taper" "The smaller of the two total tapers from the quick readings; none if an undercut was found.";
    WALLS_MEET "tooth.walls_meet" Abutment Derived (yes no) "walls meet below the top" "Whether walls of these heights and tapers would meet below the top.";
    HEIGHT_OFF_WALLS "tooth.height_off_walls" Abutment Derived (Mm 0.0 to 12.0) "height beyond all walls" "How far the average height is above the tallest or below the shortest wall, beyond reading errors.";
    HEIGHT_FROM_WALLS "tooth.height_from_walls" Abutment Derived (Mm 0.0 to 12.0) "height against walls" "Difference between the average height entered and the mean of the walls that are not naturally low.";
    TOP_OFF_WALLS "tooth.top_off_walls" Abutment Derived (Mm 0.0 to 14.0) "top width against walls" "Difference between the top width and what margin width and wall tapers give, beyond reading errors; the worse direction.";
    NECK_TO_CROWN "tooth.neck_to_crown" Abutment Derived (Ratio 0.0 to 20.0) "neck to usual crown" "Width at the margin plus the margin width on both sides, over the usual crown width; the wider direction.";
    MARGIN_ON_NO_WALL "tooth.margin_on_no_wall" Abutment Derived (yes no) "margin fits no wall" "Whether the margin form, width or depth below the gum entered for the whole prep is worse than on each of its walls.";
    WIDTH_TO_NECK_MD "tooth.width_to_neck_md" Abutment Derived (Ratio 0.0 to 20.0) "width to usual neck m-d" "Mesiodistal width at the margin plus 1 mm of margin on both sides, over the usual width at the neck.";
    WIDTH_TO_NECK_FL "tooth.width_to_neck_fl" Abutment Derived (Ratio 0.0 to 20.0) "width to usual neck f-l" "Faciolingual width at the margin plus 1 mm of margin on both sides, over the usual width at the neck.";
    WIDTH_TO_CROWN_MD "tooth.width_to_crown_md" Abutment Derived (Ratio 0.0 to 20.0) "width to usual crown m-d" "Mesiodistal width at the margin over the usual crown width.";
    WIDTH_TO_CROWN_FL "tooth.width_to_crown_fl" Abutment Derived (Ratio 0.0 to 20.0) "width to usual crown f-l" "Faciolingual width at the margin over the usual crown width.";
    HEIGHT_TO_CROWN "tooth.height_to_crown" Abutment Derived (Ratio 0.0 to 20.0) "height to usual length" "Average prep height over the usual crown length.";
    CLEARANCE_MET "tooth.clearance_met" Abutment Derived (Mm 0.0 to 6.0) "clearance" "The clearance, if anything opposes the tooth.";
    SOUND_OVER "tooth.sound_over_height" Abutment Derived (Mm 0.0 to 8.0) "sound tooth over prep" "How much the sound tooth reported above the margin exceeds the prep height.";
    USUAL_MD "tooth.usual_width_md" Unit Derived (Mm 0.0 to 20.0) "usual width m-d" "Usual mesiodistal width of the crown.";
    USUAL_FL "tooth.usual_width_fl" Unit Derived (Mm 0.0 to 20.0) "usual width f-l" "Usual faciolingual width of the crown.";
    USUAL_LENGTH "tooth.usual_length" Unit Derived (Mm 0.0 to 20.0) "usual length" "Usual length of the crown.";
    SPAN_TO_USUAL "pontic.span_to_usual" Pontic Derived (Ratio 0.0 to 20.0) "pontic to usual width" "Space for the pontic over the usual width of the missing tooth.";
    STRAIGHT_OVER "wall.straight_over" Wall Derived (Mm 0.0 to 12.0) "straight part over wall" "How much the straight part exceeds the wall height, beyond reading errors.";
    STEP_OVER "wall.step_over" Wall Derived (Mm 0.0 to 12.0) "margin step over prep" "How much the margin step exceeds the height of the tallest wall, beyond reading errors.";
    SPACE_HEIGHT_TO_USUAL "connector.space_height_to_usual" Connector Derived (Ratio 0.0 to 20.0) "space to crown length" "Height available for the connector over the usual length of the longer crown beside it.";
    SPACE_WIDTH_TO_USUAL "connector.space_width_to_usual" Connector Derived (Ratio 0.0 to 20.0) "space to crown width" "Width available for the connector over the usual faciolingual width of the wider crown beside it.";
    OVER_SPACE "connector.over_space" Connector Derived (Mm 0.0 to 12.0) "design beyond the space" "How much the designed connector exceeds the measured space, in height or width.";
    // Derived: walls.
    WALL_MAY_BE_LOW "wall.may_be_low" Wall Derived (yes no) "naturally low" "Whether the wall is naturally low: the palatal wall of an upper front tooth.";
    WALL_HEIGHT_USED "wall.height_used" Wall Derived (Mm 0.0 to 12.0) "height" "Height of the wall if it was measured, otherwise the average prep height.";
    WALL_TAPER_USED "wall.taper_used" Wall Derived (Deg -40.0 to 60.0) "taper" "Taper of the wall if it was measured, otherwise half of the total taper.";
    EFFECTIVE_SHARE "wall.effective_share" Wall Derived (Percent 0.0 to 100.0) "effective wall" "Share of the wall that stops the restoration from turning about the opposite margin.";
    EFFECTIVE "wall.effective" Wall Derived (yes no) "passes half-wall rule" "Whether the wall passes the half-wall rule.";
    FORM_USED "wall.margin_form_used" Wall Derived ("chamfer" = "chamfer", "shoulder" = "rounded shoulder", "sharp-shoulder" = "sharp shoulder", "bevel" = "bevel", "feather" = "feather edge", "lipped" = "lipped (J-shaped)") "margin form" "Margin form at this wall if it was read, otherwise that of the prep.";
    WIDTH_USED "wall.margin_width_used" Wall Derived (Mm 0.0 to 3.0) "margin width" "Margin width at this wall if it was read, otherwise that of the prep at its narrowest.";
    GUM_USED "wall.margin_gum_used" Wall Derived (of GumLine) "margin to gum" "Margin level at this wall relative to the gum, or that of the prep at its deepest.";
    NARROWEST "tooth.margin_narrowest" Abutment Derived (Mm 0.0 to 3.0) "margin width" "The narrowest margin width of all that were read.";
    MARGIN_LEAST "tooth.margin_least" Abutment Derived (Mm 0.0 to 3.0) "margin width needed" "The minimum margin width that the material needs.";
    MARGIN_TAKEN "wall.margin_taken" Wall Derived (yes no) "margin form suitable" "Whether the margin form suits the material.";
    WIDTH_SHARE "wall.margin_width_share" Wall Derived (Ratio 0.0 to 20.0) "margin width to minimum" "Margin width over the minimum that the material needs.";
    PATH_TAPER "wall.path_taper" Wall Derived (Deg -90.0 to 90.0) "taper to common path" "Taper of the wall to the common path of all abutments; below zero is undercut.";
    PATH_UNDERCUT "wall.path_undercut" Wall Derived (Mm 0.0 to 30.0) "undercut on common path" "How far the top of the wall overhangs its margin, along the common path.";
    // Derived: connectors.
    CONNECTOR_SIDE "restoration.connector_side" Restoration Derived (Mm 0.0 to 20.0) "connector size needed" "Height and width of a space that takes every connector the material needs here.";
    C_BELONGS "connector.belongs_to" Connector Derived ("joint" = "two adjacent abutments", "span" = "a span between abutments", "cantilever" = "a cantilever") "belongs to" "What the connector belongs to: the run of pontics beside it, or two adjacent abutments.";
    C_PONTICS "connector.pontics" Connector Derived (Count 0.0 to 16.0) "pontics in its span" "Number of pontics in the run beside the connector; none between two adjacent abutments.";
    C_PLACE "connector.region" Connector Derived ("front" = "front", "back" = "back") "region" "Whether the connector or a pontic of its span is behind the canines.";
    C_NEEDS "connector.least_area" Connector Derived (Mm2 0.0 to 144.0) "minimum area" "The minimum area that the material needs at this connector.";
    C_AREA "connector.area" Connector Derived (Mm2 0.0 to 144.0) "area" "Section area of the designed connector.";
    C_AREA_SHARE "connector.area_share" Connector Derived (Ratio 0.0 to 50.0) "area to minimum" "Area of the connector over the minimum that the material needs here.";
    C_H2W "connector.height2_width" Connector Derived (Mm3 0.0 to 2000.0) "h²·w" "Height squared times width of the designed connector.";
    C_STRESS "connector.bending_share" Connector Derived (Ratio 0.0 to 100.0) "bending stress ratio" "Bending stress of the connector over that of the material's minimum connector, under the same load and span.";
    SPACE_SHARE "connector.space_share" Connector Derived (Ratio 0.0 to 50.0) "space to minimum area" "Area of the largest connector with rounded corners that fits the space, over the minimum that the material needs here.";
    SPACE_AREA "connector.space_area" Connector Derived (Mm2 0.0 to 144.0) "room for a connector" "Area of the largest connector with rounded corners that fits the space.";
    SPACE_H2W "connector.space_height2_width" Connector Derived (Mm3 0.0 to 2000.0) "h²·w of the space" "Height squared times width of the space for the connector.";
    C_BITE "connector.hard_bite" Connector Derived (Newton 0.0 to 5000.0) "hard bite" "A hard bite on the teeth of the connector and its span.";
    C_BREAKS "connector.breaks_at" Connector Derived (Newton 0.0 to 100000.0) "breaks at about" "The mid-span force at which such connectors broke in laboratory tests, new and in one loading.";
    C_BREAKS_FROM "connector.breaks_from" Connector Derived (Newton 0.0 to 100000.0) "breaks from" "Low end of the range over published series.";
    C_BREAKS_TO "connector.breaks_to" Connector Derived (Newton 0.0 to 200000.0) "breaks up to" "High end of the range over published series.";
    C_BREAKS_SHARE "connector.breaks_share" Connector Derived (Ratio 0.0 to 300.0) "strength to hard bite" "What years of chewing leave of that force, over a hard bite there.";
}

static ROWS: LazyLock<HashMap<&'static str, u16>> = LazyLock::new(|| {
    let present = (0u16..)
        .zip(CATALOGUE)
        .map(|(row, spec)| (spec.id.as_ref(), row));
    let mut rows: HashMap<_, _> = present.collect();
    for (former, now) in FORMER_NAMES {
        if let Some(row) = rows.get(now).copied() {
            rows.insert(*former, row);
        }
    }
    rows
});

/// Names that facts had before. They are read in archives, case files and flows, and written under the present name.
pub const FORMER_NAMES: &[(&str, &str)] = &[
    ("order.inside_barred", "order.fitting_surface_barred"),
    ("order.inside_lacks", "order.fitting_surface_lacks"),
    ("order.inside_matters", "order.fitting_surface_matters"),
    ("order.inside", "order.fitting_surface"),
    ("unit.bite", "unit.occlusion"),
    ("restoration.usual_bite", "restoration.usual_occlusion"),
    ("tooth.stump_colour", "tooth.prep_colour"),
    (
        "connector.room_height_to_usual",
        "connector.space_height_to_usual",
    ),
    (
        "connector.room_width_to_usual",
        "connector.space_width_to_usual",
    ),
    (
        "connector.room_height2_width",
        "connector.space_height2_width",
    ),
    ("connector.room_height", "connector.space_height"),
    ("connector.room_width", "connector.space_width"),
    ("connector.room_share", "connector.space_share"),
    ("connector.over_room", "connector.over_space"),
    ("restoration.connector_room", "restoration.connector_space"),
    ("wall.margin_depth_share", "wall.margin_width_share"),
    ("wall.margin_depth", "wall.margin_width"),
    ("wall.resisting_share", "wall.effective_share"),
    ("wall.resists", "wall.effective"),
    ("pontic.is_free", "pontic.is_cantilever"),
    ("tooth.shape_holds", "tooth.shape_possible"),
];

/// Returns the row of the fact with this name, present or former.
pub(super) fn row(name: &str) -> Option<u16> {
    ROWS.get(name).copied()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ids_are_unique_and_find_their_own_row() {
        for (row, spec) in (0u16..).zip(CATALOGUE) {
            assert_eq!(FactId::named(&spec.id), FactId::Known(row), "{}", spec.id);
        }
    }

    #[test]
    fn former_names_find_the_fact_under_its_present_name() {
        for (former, now) in FORMER_NAMES {
            assert_eq!(FactId::named(former).as_str(), *now);
            assert!(CATALOGUE.iter().all(|spec| spec.id != *former), "{former}");
        }
    }

    #[test]
    fn choices_are_on_two_pages_of_digits_at_the_most() {
        for spec in CATALOGUE {
            if let Kind::Choice(choices) = &spec.kind {
                // The ninth key turns a long list.
                assert!((2..=16).contains(&choices.len()), "{}", spec.id);
            }
        }
    }

    #[test]
    fn bounds_are_ordered_and_asked_numbers_start_at_zero_or_above() {
        for spec in CATALOGUE {
            if let Kind::Number { least, most, .. } = spec.kind {
                assert!(least < most, "{}", spec.id);
                // The minus key means "not seen" in every cell.
                assert!(
                    spec.origin == Origin::Derived || least >= 0.0,
                    "{}",
                    spec.id
                );
            }
        }
    }
}
