//! The rows. Bounds live here and nowhere else.

use std::borrow::Cow;
use std::collections::HashMap;
use std::sync::LazyLock;

use super::{ChoiceSpec, FactId, FactSpec, Kind, List, Origin, PlaceKind, Unit};

/// Makes the rows, their order and a constant for each fact's id out of one list.
macro_rules! catalogue {
    ($($name:ident $id:literal $at:ident $origin:ident ($($kind:tt)+) $label:literal $sentence:literal;)+) => {
        #[allow(non_camel_case_types, clippy::upper_case_acronyms)]
        enum Row { $($name),+ }

        $(#[doc = $sentence] pub const $name: FactId = FactId::Known(Row::$name as u16);)+

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

macro_rules! kind {
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
    ORDER_MATCHES "order.matches" Case Asked ("yes" = "yes, tooth for tooth", "no-preparation" = "an ordered unit has no preparation or space", "not-ordered" = "a prepared tooth is not ordered") "order fits models" "Whether each ordered unit is found on the models and each prepared tooth on the order.";
    ORDER_SHADE "order.shade_given" Case Asked (yes no) "shade given" "Whether the order names a shade.";
    ORDER_AGE "order.age_band" Case Asked ("under-18" = "under 18", "18-64" = "18 to 64", "65-over" = "65 and over") "age band" "The patient's age band; nothing else about the patient is kept.";
    ORDER_METAL "order.metal_sensitivity" Case Asked (yes no) "metal sensitivity" "Whether the order notes a sensitivity to a metal.";
    ORDER_SEATING "order.seating_day" Case Asked (day) "seating day" "The day the restoration is to be seated.";
    ORDER_FEES "order.fee_lines" Case Asked (text) "fee lines" "Fee lines of the order that a change would touch.";
    ORDER_DENTIST "order.dentist" Case Asked (text) "dentist's code" "The laboratory's own code for the dentist; never a name.";
    CALL_BY "call.answer_by" Case Asked (day) "answer wanted by" "The day by which the laboratory wants an answer.";
    CALL_TEMPORARY "call.temporary" Case Asked ("holds" = "in place and sound", "loose" = "loose", "broken" = "cracked or broken", "none" = "none in place") "temporary" "The state of the temporary in the mouth.";
    CALL_DECIDES "call.who_decides" Case Asked ("dentist" = "the dentist", "colleague" = "another dentist of the practice", "assistant" = "an assistant with authority") "who may decide" "Who at the practice may decide; whoever only takes calls does not.";
    CALL_PHOTO "call.photo_sent" Case Asked (yes no) "photo sent" "Whether photographs were sent before the call.";
    ORDER_SCOPE "order.scope" Restoration Asked ("teeth" = "crown or bridge", "veneer" = "veneer", "inlay-onlay" = "inlay or onlay", "partial-crown" = "partial crown", "endocrown" = "endocrown", "adhesive-bridge" = "adhesive (wing) bridge", "post-core" = "post and core alone", "implant" = "on an implant", "tooth-implant" = "tooth joined to implant", "telescope" = "telescope", "denture" = "denture", "provisional" = "long-term provisional") "kind of work" "What kind of work it is; only crowns and bridges on prepared teeth are covered.";
    ORDER_MATERIAL "order.material" Restoration Asked (materials) "material" "The material the order prescribes.";
    ORDER_CEMENT "order.cement" Restoration Asked (cements) "cement planned" "The class of cement the dentist plans to use.";
    ORDER_INSIDE "order.inside" Restoration Asked ("not-said" = "not said", "etched-silane" = "etched and silanised", "etched" = "etched, no silane", "abraded-primer" = "abraded and primed", "abraded" = "abraded, no primer", "nothing" = "left as it is") "inside treated" "How the order wants the inside of the restoration treated before it is seated.";
    ORDER_MAKE "order.make" Restoration Asked ("first" = "first make", "remake" = "remake") "first or remake" "Whether this restoration is made for the first time or again.";
    LAST_TOOTH "restoration.last_tooth" Restoration Asked (yes no) "last tooth in the arch" "Whether a unit of the restoration is the last tooth of its arch, with nothing behind it.";
    NEIGHBOURS "restoration.neighbours" Restoration Asked ("both" = "sound on both sides", "one" = "sound on one side only", "none" = "none") "neighbours" "Whether sound unprepared teeth stand on both sides of the restoration.";
    // What became of the one before.
    REMAKE_WHAT "remake.what" Restoration Asked ("came-off" = "came off", "broke" = "broke", "open-margin" = "open margin", "high" = "high", "contact" = "contact", "shade" = "shade", "other" = "other") "what happened" "What happened to the restoration before this one.";
    REMAKE_BROKE "remake.broke_at" Restoration Asked ("connector" = "at a connector", "retainer" = "through a crown", "edge" = "at the edge", "veneer" = "veneer only") "broke where" "Where the restoration before this one broke.";
    BROKE_HERE "remake.broke_here" Connector Asked (yes no) "broke here" "Whether the restoration before this one broke at this connector.";
    REMAKE_TIMES "remake.times" Restoration Asked (Count 1.0 to 9.0) "made before" "How often this restoration was made before.";
    REMAKE_LOOSE "remake.loose" Restoration Asked (teeth) "retainers loose" "The abutments on which the old restoration was loose.";
    REMAKE_CEMENT "remake.cement_left" Restoration Asked ("restoration" = "in the restoration", "tooth" = "on the tooth", "both" = "on both") "old cement stayed" "Where the old cement stayed when the restoration came off.";
    REMAKE_OLD_CEMENT "remake.old_cement" Restoration Asked (cements) "old cement" "The class of cement that was used before.";
    REMAKE_CAUSE "remake.cause_written" Restoration Asked (yes no) "cause written down" "Whether somebody wrote down why the old restoration failed.";
    // Records.
    RECORDS_KIND "records.kind" Case Asked ("impression" = "impression", "scan" = "scan", "model" = "models poured by the practice") "impression or scan" "Whether the dentist sent an impression, a scan or poured models.";
    MODEL_SOUND "records.model_sound" Case Asked (yes no) "practice's models sound" "Whether the models that the practice poured are without bubbles, chips and broken teeth.";
    DISINFECTED "records.disinfected" Case Asked (yes no) "disinfected" "Whether what came in is marked as disinfected.";
    TRAY "impression.tray" Case Asked ("full-arch" = "full arch", "quadrant" = "one side", "dual-arch" = "dual-arch") "tray" "What the tray covers.";
    TRAY_STIFF "impression.stiffness" Case Asked ("metal" = "metal", "rigid-plastic" = "stiff plastic", "soft-plastic" = "plastic that flexes", "custom" = "custom made") "tray stiffness" "How stiff the tray is.";
    IMPRESSION_MATERIAL "impression.material" Case Asked ("vinyl-polysiloxane" = "vinyl polysiloxane", "polyether" = "polyether", "vinyl-polyether" = "vinyl polyether silicone", "condensation" = "condensation silicone", "polysulfide" = "polysulfide", "alginate" = "alginate") "impression material" "What the impression was taken in.";
    TAKEN "impression.taken" Case Asked (day) "taken on" "The day the impression was taken.";
    POURED "impression.poured" Case Asked (day) "poured on" "The day the impression was or will be poured.";
    IMPRESSION_WAIT "impression.waited" Case Asked ("half-hour" = "half an hour at the most", "hour" = "up to an hour", "longer" = "longer than an hour", "label" = "longer, as its label allows") "waited before the pour" "How long an impression that shrinks within the hour waited before it was poured.";
    CANINE_IN "impression.canine_in" Case Asked (yes no) "canine included" "Whether the tray includes the canine of the side.";
    STOPS "impression.stops" Case Asked (yes no) "stops on unprepared teeth" "Whether the bite shows through on unprepared teeth on both sides of the preparation.";
    ON_TISSUE "impression.tray_on_tissue" Case Asked (yes no) "tray shows through" "Whether the tray touches tissue or teeth and shows through the material.";
    POUR_SOUND "records.pour_sound" Case Asked (yes no) "our pour is sound" "Whether our own pour, pins and dies are without a fault.";
    SCAN_GAPS "scan.gaps" Case Asked ("none" = "none", "contact" = "at a contact", "margin" = "at a margin") "gaps in the scan" "Where the scan has holes.";
    SCAN_STITCH "scan.stitch_step" Case Asked (yes no) "step from stitching" "Whether the surface shows a step where views were joined.";
    SCAN_SIZE "scan.size" Case Asked ("true" = "true", "ten-times" = "ten times off", "inch" = "25.4 times off", "mirrored" = "mirrored") "size of the file" "Whether the file opens at true size and side.";
    SCAN_LINE "scan.margin_line" Case Asked ("none" = "not marked", "on-edge" = "on the edge", "off-edge" = "off the edge by over 0.2 mm") "marked margin" "Where the dentist's margin line runs against the visible edge.";
    SCAN_BITES "scan.bites_agree" Case Asked (yes no) "left and right bite agree" "Whether the two bite scans close the models in one way.";
    OPPOSING "records.opposing" Case Asked ("present" = "present, stays as it is", "part" = "missing in part", "missing" = "missing", "to-be-replaced" = "present, due for replacement", "over-erupted" = "present, over-erupted") "opposing" "Whether the opposing arch was sent, and whether its teeth will stay as they are.";
    OPPOSING_STATE "records.opposing_state" Case Asked ("sound" = "sound", "to-be-replaced" = "due for replacement", "over-erupted" = "over-erupted") "state of the opposing" "Whether the opposing teeth will stay as they are.";
    TRIMMED "records.untrimmed_kept" Case Asked (yes no) "untrimmed model kept" "Whether an untrimmed model that shows the gum is at hand.";
    TEMPORARY_MODEL "records.temporary_model" Case Asked (yes no) "model of the temporary" "Whether a model of the temporary came with the case.";
    INCISAL_EDGE "records.incisal_edge" Case Asked (yes no) "incisal edge position given" "Whether the position of the incisal edges is given.";
    // The bite.
    BITE_RECORD "bite.record" Case Asked ("none" = "none", "prepared" = "over the prepared teeth only", "full" = "over the whole arch", "scan" = "scanned") "bite record" "How the bite was recorded and over what.";
    BITE_CLOSES "bite.models_close" Case Asked ("one-way" = "in one way", "two-ways" = "in two ways") "models close by hand" "Whether the models close in one way by hand, without rocking.";
    BITE_STOPS "bite.stable_stops" Case Asked (Count 0.0 to 20.0) "stable stops" "How many opposing pairs hold the closed models.";
    BITE_CLASS "bite.class" Case Asked ("I" = "class I", "II-1" = "class II, division 1", "II-2" = "class II, division 2", "III" = "class III") "bite class" "Angle's class of the bite.";
    BITE_ANTERIOR "bite.anterior" Case Asked ("normal" = "normal overlap", "edge" = "edge to edge", "open" = "open", "deep" = "deep", "reversed" = "reversed") "front relation" "How the front teeth meet.";
    ARTICULATION "bite.articulation" Case Asked ("hand" = "by hand or on a hinge", "average" = "average values", "face-bow" = "face-bow or measured values") "articulator" "How the models are to be mounted.";
    VERTICAL "bite.vertical" Case Asked ("kept" = "kept as it is", "changed" = "changed", "not-said" = "not said") "vertical dimension" "Whether the vertical dimension is to be kept.";
    OVERBITE "bite.overlap_vertical" Case Asked (Mm 0.0 to 12.0) "vertical overlap" "Vertical overlap of the front teeth.";
    OVERJET "bite.overlap_horizontal" Case Asked (Mm 0.0 to 15.0) "horizontal overlap" "Horizontal overlap of the front teeth.";
    GUIDANCE "bite.guidance" Case Asked ("canine" = "canine", "group" = "group", "front" = "front teeth", "unclear" = "unclear") "guidance" "Which teeth lead when the jaw moves sideways.";
    OPPOSED_BY "bite.opposed_by" Restoration Asked ("natural" = "natural teeth", "fixed" = "fixed work", "removable" = "removable denture", "implant" = "implant work", "nothing" = "nothing") "bites against" "What the restoration bites against.";
    GRINDING "habit.grinding" Case Asked ("none" = "none known", "suspected" = "suspected", "certain" = "certain") "grinding, clenching" "Whether the patient grinds or clenches.";
    FACETS "habit.facets" Case Asked ("none" = "none", "light" = "light", "heavy" = "heavy, and they match") "facets on the models" "The wear facets seen on the models.";
    GUARD "habit.night_guard" Case Asked (yes no) "night guard" "Whether a night guard is worn.";
    // Units and stumps.
    USUAL_BITE "restoration.usual_bite" Restoration Asked (teeth) "usual bite at" "The units that are neither edge to edge nor in crossbite, among those that were looked at.";
    USUAL_PATH "restoration.usual_path" Restoration Asked (teeth) "no undercut at" "The preps without an undercut along the path of insertion, among those that were looked at.";
    USUAL_PREPS "restoration.usual_preps" Restoration Asked (teeth) "nothing unusual at" "The preps that have nothing of what is asked by exception, among those that were looked at.";
    UNIT_BITE "unit.bite" Unit Asked ("normal" = "normal", "edge" = "edge to edge", "crossed" = "crossed") "bite here" "How this unit meets its opponent.";
    MARGIN_VISIBLE "tooth.margin_seen" Abutment Asked ("all" = "all round", "under-1" = "lost for under 1 mm, seen on both sides", "1-2" = "lost for 1 to 2 mm", "over-2" = "lost for more than 2 mm") "finish line" "For how far the finish line cannot be followed.";
    TOOTH_FORM "tooth.margin_form" Abutment Asked ("chamfer" = "chamfer", "shoulder" = "rounded shoulder", "sharp-shoulder" = "sharp shoulder", "bevel" = "bevel", "feather" = "feather edge", "lipped" = "lipped (J-shaped)", "differs" = "differs from wall to wall") "margin form" "The form of the margin, if it is the same all round.";
    TOOTH_WIDTH "tooth.margin_width" Abutment Asked (Mm 0.0 to 3.0) "margin width" "Width of the margin at its narrowest.";
    TOOTH_GUM "tooth.margin_to_gum" Abutment Asked ("above" = "above", "at" = "at the gum", "under-1" = "up to 1 mm under", "deeper" = "more than 1 mm under") "margin to gum" "Where the margin lies against the gum at its deepest.";
    HEIGHT "tooth.height" Abutment Asked (Mm 0.5 to 12.0) "height" "Mean height of the stump from finish line to top.";
    MARGIN_MD "tooth.width_margin_md" Abutment Asked (Mm 1.0 to 14.0) "base width m-d" "Mesiodistal width of the stump at the finish line.";
    TOP_MD "tooth.width_top_md" Abutment Asked (Mm 0.5 to 14.0) "top width m-d" "Mesiodistal width of the stump at the top.";
    MARGIN_FL "tooth.width_margin_fl" Abutment Asked (Mm 1.0 to 14.0) "base width f-l" "Faciolingual width of the stump at the finish line.";
    TOP_FL "tooth.width_top_fl" Abutment Asked (Mm 0.5 to 14.0) "top width f-l" "Faciolingual width of the stump at the top.";
    CLEARANCE "tooth.clearance" Abutment Asked (Mm 0.0 to 6.0) "clearance" "Room between the stump and its opponent, the least in closing and sliding.";
    UNDERCUT "tooth.undercut" Abutment Asked ("none" = "none", "to-0.1" = "up to 0.1 mm", "to-0.3" = "up to 0.3 mm", "over-0.3" = "more than 0.3 mm", "at-margin" = "reaches the finish line") "undercut" "The undercut left when all stumps are surveyed along one path.";
    GROOVES "tooth.grooves" Abutment Asked ("none" = "none", "proximal" = "mesial and distal", "facial-lingual" = "facial and lingual", "all" = "both pairs") "grooves or boxes" "Which walls carry grooves or boxes.";
    CORE "tooth.core" Abutment Asked ("none" = "tooth only", "filled" = "filling, margin on tooth", "margin-on-core" = "margin on the build-up", "post" = "post and core", "post-loose" = "post is loose") "build-up" "What the stump is made of.";
    UNEVEN "tooth.uneven" Abutment Asked ("top-slopes" = "the top slopes", "margin-steps" = "the finish line steps") "walls differ as" "Why the wall heights differ: the top slopes, or the finish line steps.";
    WALL_BY_WALL "tooth.wall_by_wall" Abutment Asked (yes no) "wall by wall" "Whether the technician wants this stump wall by wall.";
    MARGIN_DEFECT "tooth.margin_defect" Abutment Asked ("none" = "none", "chipped" = "die chipped", "bubble" = "bubble at the line", "lipped" = "lip or reversed edge") "margin defect" "A defect at the finish line.";
    NEIGHBOUR_LEANS "tooth.neighbour_in_path" Abutment Asked (yes no) "neighbour in path" "Whether a neighbour overhangs the path of insertion or leaves the contact out of reach.";
    TILT "tooth.tilt" Abutment Asked (Deg 0.0 to 60.0) "tilt" "How far the tooth leans against the common path.";
    TILT_TOWARD "tooth.tilt_toward" Abutment Asked ("mesial" = "mesially", "distal" = "distally", "facial" = "to cheek or lip", "lingual" = "to tongue or palate") "leans" "Which way the tooth leans against the common path.";
    COLOUR "tooth.stump_colour" Abutment Asked ("normal" = "normal", "dark" = "dark") "stump colour" "Whether the stump is dark.";
    DENTURE "tooth.carries_denture" Abutment Asked (yes no) "carries a denture" "Whether a partial denture rests or clasps on this tooth.";
    SHARP_EDGES "tooth.sharp_edges" Abutment Asked (yes no) "sharp edges" "Whether the prep has sharp edges or fins that a milling tool cannot follow.";
    CONTACT "tooth.contact" Abutment Asked ("usual" = "usual", "gap" = "gap to the neighbour", "rotated" = "rotated or tipped neighbour") "contacts" "Whether the neighbours allow a usual contact.";
    ROOT_FILLED "tooth.root_filled" Abutment Asked (yes no) "root filled" "Whether the tooth is root-filled, as the dentist reports.";
    POST "tooth.post" Abutment Asked ("fibre" = "fibre", "metal" = "metal", "ceramic" = "ceramic") "kind of post" "What the post is made of.";
    SOUND_TOOTH "tooth.sound_above_margin" Abutment Asked (Mm 0.0 to 8.0) "sound tooth" "Height of sound tooth above the finish line, as the dentist reports.";
    BONE_LEVEL "tooth.bone_to_margin" Abutment Asked (Mm 0.0 to 12.0) "margin to bone" "Distance from finish line to bone, as the dentist reports.";
    MOBILITY "tooth.mobility" Abutment Asked ("none" = "none", "I" = "grade I", "II" = "grade II", "III" = "grade III") "mobility" "Mobility, as the dentist reports.";
    // Walls.
    WALL_HEIGHT "wall.height" Wall Asked (Mm 0.0 to 12.0) "height" "Height of the wall from finish line to top.";
    WALL_FORM "wall.form" Wall Asked ("straight" = "straight", "dished-top" = "dished above a straight part", "dished" = "all dished") "form" "Whether the wall is straight or dished.";
    WALL_STRAIGHT "wall.straight_height" Wall Asked (Mm 0.0 to 12.0) "straight part" "Height of the straight part of a dished wall.";
    WALL_TAPER "wall.taper" Wall Asked (Deg 0.0 to 45.0) "taper" "Taper of this wall against the path, from a section or a scan; an undercut is read with the surveyor.";
    MARGIN_STEP "wall.margin_step" Wall Asked (Mm 0.0 to 5.0) "margin step" "How far the finish line of this wall stands above the lowest one of the stump.";
    MARGIN_FORM "wall.margin_form" Wall Asked ("chamfer" = "chamfer", "shoulder" = "rounded shoulder", "sharp-shoulder" = "sharp shoulder", "bevel" = "bevel", "feather" = "feather edge", "lipped" = "lipped (J-shaped)") "margin form" "The form of the finish line.";
    MARGIN_DEPTH "wall.margin_depth" Wall Asked (Mm 0.0 to 3.0) "margin depth" "How deep the finish line cuts in.";
    MARGIN_GUM "wall.margin_to_gum" Wall Asked ("above" = "above", "at" = "at the gum", "under-1" = "up to 1 mm under", "deeper" = "more than 1 mm under") "margin to gum" "Where the finish line lies against the gum.";
    // Pontics.
    SPAN "pontic.span" Pontic Asked (Mm 2.0 to 16.0) "span" "Mesiodistal room for the pontic.";
    RIDGE "pontic.ridge" Pontic Asked ("healed" = "healed", "healing" = "still healing", "no-access" = "cannot be kept clean", "sunken" = "healed, but sunken", "sharp" = "healed, narrow or sharp") "ridge" "State and shape of the ridge under the pontic.";
    PONTIC_CONTACT "pontic.contact" Pontic Asked ("side" = "also when the jaw slides", "closing" = "only on closing") "contact of the pontic" "When the pontic will touch the opposing teeth.";
    PONTIC_FORM "pontic.form" Pontic Asked ("not-said" = "not said", "modified-lap" = "modified ridge lap", "ovate" = "ovate", "clear" = "clear of the ridge", "full-lap" = "full ridge lap") "pontic form" "The form of the pontic that the order names.";
    // Connectors.
    CONNECTOR_ROOM "restoration.connector_room" Restoration Asked ("ample" = "clearly, at every joint", "tight" = "tight somewhere") "space for connectors" "Whether every joint clearly has space for the connector that the material needs.";
    ROOM_HEIGHT "connector.room_height" Connector Asked (Mm 0.0 to 12.0) "room height" "Height from gum to edge at the connector, on the models.";
    ROOM_WIDTH "connector.room_width" Connector Asked (Mm 0.0 to 12.0) "room width" "Faciolingual width at the connector, on the models.";
    CONNECTOR_HEIGHT "connector.height" Connector Asked (Mm 0.5 to 12.0) "height" "Height of the designed connector.";
    CONNECTOR_WIDTH "connector.width" Connector Asked (Mm 0.5 to 12.0) "width" "Faciolingual width of the designed connector.";
    CONNECTOR_SECTION "connector.section" Connector Asked ("round" = "round", "rounded-box" = "rounded box", "sharp-box" = "sharp box") "section" "Section of the designed connector.";

    // Derived: units and restorations.
    R_KIND "restoration.kind" Restoration Derived ("crown" = "crown", "bridge" = "bridge", "splinted" = "splinted crowns", "cantilever" = "cantilever") "judged as" "What the restoration is judged as, by where its abutments stand.";
    R_UNITS "restoration.units" Restoration Derived (Count 1.0 to 32.0) "units" "How many units the restoration has.";
    R_SKIPPED "restoration.teeth_skipped" Restoration Derived (Count 0.0 to 16.0) "teeth left out" "How many tooth positions between its units are left out.";
    R_PLACE "restoration.region" Restoration Derived ("front" = "front", "back" = "back", "both" = "front and back") "region" "Whether the units are front teeth, back teeth or both.";
    SPAN_ALLOWED "restoration.span_allowed" Restoration Derived (yes no) "span within the material's class" "Whether the material's class covers this many units and this place.";
    SPAN_BEYOND "restoration.span_beyond" Restoration Derived ("nothing" = "nothing", "units" = "it has more units than the class covers", "molar-pontic" = "a molar is replaced", "cantilever" = "a pontic hangs free", "molar-abutment" = "a molar is among the retainers", "joined-units" = "it has more joined crowns than the class has units", "joined-molar" = "a molar is among the joined crowns") "beyond the material's class" "What takes the restoration beyond the class of its material: units, a molar, a cantilever; a single crown is no span.";
    SUPPORT "restoration.support_ratio" Restoration Derived (Ratio 0.0 to 20.0) "support" "Root area of the abutments over the root area of the teeth replaced.";
    CANTILEVER_ARM "restoration.cantilever_pontics" Restoration Derived (Count 0.0 to 16.0) "free pontics" "How many pontics hang beyond the last abutment at one end.";
    R_GUIDES "restoration.has_canine" Restoration Derived (yes no) "rebuilds a canine" "Whether a unit is a canine.";
    DEFLECTION "restoration.deflection_ratio" Restoration Derived (Ratio 0.0 to 5000.0) "bends against one pontic" "How far the longest span bends, over what one pontic of it would with the same section.";
    CEMENT_BONDS "order.cement_bonds" Restoration Derived (yes no) "cement bonds" "Whether the planned cement bonds; one that sets with water does not.";
    CEMENT_DRY "order.cement_dry_field" Restoration Derived (yes no) "cement wants a dry field" "Whether the planned cement wants saliva kept away until it has set.";
    CEMENT_PRIMER "order.cement_primer" Restoration Derived (yes no) "cement wants a primer" "Whether the planned cement is bonded step by step, over a primer.";
    MATERIAL_TEMPORARY "order.material_temporary" Restoration Derived (yes no) "temporary material" "Whether the material is for temporaries only.";
    CEMENT_TEMPORARY "order.cement_temporary" Restoration Derived (yes no) "temporary cement" "Whether the planned cement is for temporaries.";
    PRIMER_FITS "order.primer_fits" Restoration Derived (yes no) "primer fits the material" "Whether the primer that the planned cement works over goes with the material.";
    INSIDE_MATTERS "order.inside_matters" Restoration Derived (yes no) "treatment inside matters" "Whether bonding this material with this cement cannot do without a treatment of the inside, or is spoilt by one.";
    INSIDE_LACKS "order.inside_lacks" Restoration Derived (yes no) "treatment left out" "Whether a treatment is left out that bonding this material cannot do without.";
    INSIDE_BARRED "order.inside_barred" Restoration Derived (yes no) "treatment barred" "Whether a treatment is ordered that this material does not take.";
    DISTANCE_ERROR "restoration.distance_error" Restoration Derived (Micron 0.0 to 5000.0) "distance off by" "Expected error of the distance between the outermost stumps on the model.";
    CONNECTOR_LEAST "restoration.connector_share" Restoration Derived (Ratio 0.0 to 50.0) "smallest connector" "Area of the smallest designed connector over the least that the material wants there.";
    SAME_CEMENT "remake.same_cement" Restoration Derived (yes no) "same cement again" "Whether the cement planned is the one that was used before.";
    SOME_LOOSE "remake.some_loose" Restoration Derived (yes no) "only some retainers loose" "Whether the old restoration came loose on some of its abutments and held on others.";
    IMPRESSION_AGE "impression.age_days" Case Derived (Count 0.0 to 3660.0) "days until the pour" "Days from taking the impression to pouring it.";
    DAYS_REVERSED "impression.days_reversed" Case Derived (yes no) "poured before taken" "Whether the day of the pour lies before the day the impression was taken.";
    // Derived: stumps.
    T_CLASS "tooth.class" Unit Derived ("incisor" = "incisor", "canine" = "canine", "premolar" = "premolar", "molar" = "molar") "kind of tooth" "The class of the tooth.";
    PIER "tooth.is_pier" Abutment Derived (yes no) "pier" "Whether the tooth stands alone between two pontics, with abutments beyond both.";
    FREE_PONTIC "pontic.is_free" Pontic Derived (yes no) "free end" "Whether the pontic hangs beyond the last abutment.";
    HEIGHT_USED "tooth.height_used" Abutment Derived (Mm 0.0 to 12.0) "height" "Mean height of the stump: of the four walls where they were read, else the quick reading.";
    BASE_USED "tooth.base" Abutment Derived (Mm 0.0 to 14.0) "width facial to lingual" "The faciolingual width of the prep at the margin, which its height is held against.";
    HEIGHT_TO_BASE "tooth.height_to_base" Abutment Derived (Ratio 0.0 to 6.0) "height to width" "Mean height over the faciolingual width at the margin.";
    TAPER_MD "tooth.total_taper_md" Abutment Derived (Deg -40.0 to 90.0) "total taper m-d" "Total taper between mesial and distal wall.";
    TAPER_FL "tooth.total_taper_fl" Abutment Derived (Deg -40.0 to 90.0) "total taper f-l" "Total taper between facial and lingual wall.";
    TAPER_MOST "tooth.total_taper" Abutment Derived (Deg -40.0 to 90.0) "total taper" "The larger of the two total tapers.";
    QUICK_FLAG "tooth.quick_flag" Abutment Derived (yes no) "quick pass flags" "Whether the quick readings of the stump ask for a look wall by wall.";
    HEIGHTS_DIFFER "tooth.heights_differ" Abutment Derived (Mm 0.0 to 12.0) "walls differ by" "Difference between the tallest and the shortest wall; a palatal wall that may be low is left out.";
    CLEARANCE_SHORT "tooth.clearance_short" Abutment Derived (Mm -6.0 to 4.0) "clearance short by" "The material's least thickness over the top, less the clearance.";
    CLEARANCE_SPARE "tooth.clearance_spare" Abutment Derived (Mm -4.0 to 6.0) "room to spare" "The clearance, less the material's least thickness over the top.";
    FAILING "tooth.failing_directions" Abutment Derived (Count 0.0 to 4.0) "directions without hold" "In how many of four directions the opposite wall fails the half-wall rule.";
    PAIR_FAILS "tooth.opposite_pair_fails" Abutment Derived (yes no) "an opposite pair fails" "Whether two opposite walls both fail the half-wall rule.";
    GRIP "restoration.grip" Restoration Derived (Ratio 0.0 to 100.0) "grip" "Demand on the cement of the least single crown advised on that tooth over the demand here, at the weakest retainer under its own hardest load; 1 is as good, more is better.";
    PLAN_SHARE "restoration.plan_share" Restoration Derived (Ratio 0.0 to 100.0) "share of the plan" "What of grip is the plan's at the weakest retainer: the least single crown over this restoration on least preps.";
    PATH_GAIN "restoration.path_gain" Restoration Derived (Deg 0.0 to 90.0) "won by the path" "How much more the steepest wall leans in on the common path than along the mean of the tooth axes.";
    GRIP_FIRST "tooth.grip" Abutment Derived (Ratio 0.0 to 100.0) "grip" "Grip of the restoration, at its weakest retainer.";
    PREP_SHARE "tooth.prep_share" Abutment Derived (Ratio 0.0 to 100.0) "grip of the prep" "What of grip is the prep's: this restoration on least preps over this one as it is.";
    WEAKEST_SHARE "tooth.weakest_share" Abutment Derived (Ratio 0.0 to 1.0) "against the best prep" "At the weakest prep: its grip over that of the best prep of the restoration.";
    RETAINER_GRIP "tooth.retainer_grip" Abutment Derived (Ratio 0.0 to 100.0) "grip of this retainer" "Demand of the least single crown on this tooth over the demand on this retainer, under its own hardest load.";
    // Derived: what readings would have to be true together, and how far they are from what is usual.
    SHAPE "tooth.shape_holds" Abutment Derived (yes no) "shape" "Whether the readings of the stump can be those of one shape; where they cannot, no figure is worked out from them.";
    TOP_OVER_MD "tooth.top_over_margin_md" Abutment Derived (Mm 0.0 to 14.0) "top over margin m-d" "How much wider the top is than the margin from mesial to distal, beyond what the undercut found explains.";
    TOP_OVER_FL "tooth.top_over_margin_fl" Abutment Derived (Mm 0.0 to 14.0) "top over margin f-l" "How much wider the top is than the margin from facial to lingual, beyond what the undercut found explains.";
    LEAST_TAPER "tooth.least_taper" Abutment Derived (Deg 0.0 to 90.0) "least total taper" "The smaller of the two total tapers by the quick readings; none where an undercut was found.";
    WALLS_MEET "tooth.walls_meet" Abutment Derived (yes no) "walls meet" "Whether walls of these heights and tapers would meet before they reach the top.";
    HEIGHT_OFF_WALLS "tooth.height_off_walls" Abutment Derived (Mm 0.0 to 12.0) "mean beyond the walls" "How far the mean height lies above the tallest or below the shortest of the four walls, beyond what reading errors explain.";
    HEIGHT_FROM_WALLS "tooth.height_from_walls" Abutment Derived (Mm 0.0 to 12.0) "mean against the walls" "How far the mean height put down lies from the mean of the walls that are not low by nature.";
    TOP_OFF_WALLS "tooth.top_off_walls" Abutment Derived (Mm 0.0 to 14.0) "top against the walls" "How far the width of the top lies from what the tapers of two opposite walls leave of the margin, beyond what reading errors explain; the worse direction.";
    NECK_TO_CROWN "tooth.neck_to_crown" Abutment Derived (Ratio 0.0 to 20.0) "neck against the usual crown" "Width at the margin and the width of the margin on both sides, over the usual width of the crown; the wider direction.";
    MARGIN_ON_NO_WALL "tooth.margin_on_no_wall" Abutment Derived (yes no) "margin on no wall" "Whether the form, the width or the depth under the gum that was put down for the whole margin is worse than on each of its walls.";
    WIDTH_TO_NECK_MD "tooth.width_to_neck_md" Abutment Derived (Ratio 0.0 to 20.0) "against the usual neck m-d" "Width at the margin from mesial to distal and 1 mm of margin on both sides, over the usual width at the neck.";
    WIDTH_TO_NECK_FL "tooth.width_to_neck_fl" Abutment Derived (Ratio 0.0 to 20.0) "against the usual neck f-l" "Width at the margin from facial to lingual and 1 mm of margin on both sides, over the usual width at the neck.";
    WIDTH_TO_CROWN_MD "tooth.width_to_crown_md" Abutment Derived (Ratio 0.0 to 20.0) "against the usual crown m-d" "Width at the margin from mesial to distal over the usual width of the crown.";
    WIDTH_TO_CROWN_FL "tooth.width_to_crown_fl" Abutment Derived (Ratio 0.0 to 20.0) "against the usual crown f-l" "Width at the margin from facial to lingual over the usual width of the crown.";
    HEIGHT_TO_CROWN "tooth.height_to_crown" Abutment Derived (Ratio 0.0 to 20.0) "against the usual length" "Mean height of the stump over the usual length of the crown.";
    CLEARANCE_MET "tooth.clearance_met" Abutment Derived (Mm 0.0 to 6.0) "clearance" "The clearance, where something bites against the tooth.";
    SOUND_OVER "tooth.sound_over_height" Abutment Derived (Mm 0.0 to 8.0) "sound tooth over the stump" "How much more sound tooth is reported above the margin than the stump is high.";
    USUAL_MD "tooth.usual_width_md" Unit Derived (Mm 0.0 to 20.0) "usual width m-d" "The usual width of the crown from mesial to distal.";
    USUAL_FL "tooth.usual_width_fl" Unit Derived (Mm 0.0 to 20.0) "usual width f-l" "The usual width of the crown from facial to lingual.";
    USUAL_LENGTH "tooth.usual_length" Unit Derived (Mm 0.0 to 20.0) "usual length" "The usual length of the crown.";
    SPAN_TO_USUAL "pontic.span_to_usual" Pontic Derived (Ratio 0.0 to 20.0) "against the usual width" "Room for the pontic over the usual width of the missing tooth.";
    STRAIGHT_OVER "wall.straight_over" Wall Derived (Mm 0.0 to 12.0) "straight part over the wall" "How much higher the straight part is than the whole wall, beyond what reading errors explain.";
    STEP_OVER "wall.step_over" Wall Derived (Mm 0.0 to 12.0) "margin step over the stump" "How much further the margin stands up than the tallest wall is high, beyond what reading errors explain.";
    ROOM_HEIGHT_TO_USUAL "connector.room_height_to_usual" Connector Derived (Ratio 0.0 to 20.0) "room against the teeth's length" "Height of the room over the usual length of the longer crown beside it.";
    ROOM_WIDTH_TO_USUAL "connector.room_width_to_usual" Connector Derived (Ratio 0.0 to 20.0) "room against the teeth's width" "Width of the room over the usual faciolingual width of the wider crown beside it.";
    OVER_ROOM "connector.over_room" Connector Derived (Mm 0.0 to 12.0) "drawn over the room" "How much higher or wider the connector is drawn than the room that was read.";
    // Derived: walls.
    WALL_MAY_BE_LOW "wall.may_be_low" Wall Derived (yes no) "low by nature" "Whether the wall is low by nature: the palatal one of an upper front tooth.";
    WALL_HEIGHT_USED "wall.height_used" Wall Derived (Mm 0.0 to 12.0) "height" "Height of the wall where it was read, else the stump's mean height.";
    WALL_TAPER_USED "wall.taper_used" Wall Derived (Deg -40.0 to 60.0) "taper" "Taper of the wall where it was read, else half of the total taper.";
    RESISTING "wall.resisting_share" Wall Derived (Percent 0.0 to 100.0) "part that resists" "The share of the wall that stops the restoration from turning about the opposite margin.";
    RESISTS "wall.resists" Wall Derived (yes no) "resists" "Whether the wall passes the half-wall rule.";
    FORM_USED "wall.margin_form_used" Wall Derived ("chamfer" = "chamfer", "shoulder" = "rounded shoulder", "sharp-shoulder" = "sharp shoulder", "bevel" = "bevel", "feather" = "feather edge", "lipped" = "lipped (J-shaped)") "margin form" "The form of the margin at this wall where it was read, else that of the prep.";
    WIDTH_USED "wall.margin_width_used" Wall Derived (Mm 0.0 to 3.0) "margin width" "Width of the margin at this wall where it was read, else that of the prep at its narrowest.";
    GUM_USED "wall.margin_gum_used" Wall Derived ("above" = "above", "at" = "at the gum", "under-1" = "up to 1 mm under", "deeper" = "more than 1 mm under") "margin to gum" "Where the margin of this wall lies against the gum, or that of the prep at its deepest.";
    NARROWEST "tooth.margin_narrowest" Abutment Derived (Mm 0.0 to 3.0) "margin width" "Width of the margin at its narrowest, of all that was read.";
    MARGIN_LEAST "tooth.margin_least" Abutment Derived (Mm 0.0 to 3.0) "margin width needed" "The least width of a margin that the material needs.";
    MARGIN_TAKEN "wall.margin_taken" Wall Derived (yes no) "margin form taken" "Whether the material takes this form of finish line.";
    DEPTH_SHARE "wall.margin_depth_share" Wall Derived (Ratio 0.0 to 20.0) "depth against least" "Depth of the finish line over the least that the material wants.";
    PATH_TAPER "wall.path_taper" Wall Derived (Deg -90.0 to 90.0) "taper on the path" "Taper of the wall against the path that all abutments share; below zero is undercut.";
    PATH_UNDERCUT "wall.path_undercut" Wall Derived (Mm 0.0 to 30.0) "undercut on path" "How far the top of the wall stands over its finish line across the common path.";
    // Derived: connectors.
    CONNECTOR_SIDE "restoration.connector_side" Restoration Derived (Mm 0.0 to 20.0) "connector needed" "Height and width of space that takes every connector the material needs here.";
    C_BELONGS "connector.belongs_to" Connector Derived ("joint" = "a joint, no pontic beside it", "span" = "a span held at both ends", "cantilever" = "a cantilever") "belongs to" "What the connector belongs to: the run of pontics beside it, or a joint of two abutments.";
    C_PONTICS "connector.pontics" Connector Derived (Count 0.0 to 16.0) "pontics in its span" "How many pontics the run beside the connector has; none at a joint of two abutments.";
    C_PLACE "connector.region" Connector Derived ("front" = "front", "back" = "back") "region" "Whether the connector or a pontic of its span lies behind the canines.";
    C_NEEDS "connector.least_area" Connector Derived (Mm2 0.0 to 144.0) "least area" "The least area that the material needs at this connector.";
    C_AREA "connector.area" Connector Derived (Mm2 0.0 to 144.0) "area" "Area of the designed connector's section.";
    C_AREA_SHARE "connector.area_share" Connector Derived (Ratio 0.0 to 50.0) "area against least" "Area of the connector over the least that the material wants here.";
    C_H2W "connector.height2_width" Connector Derived (Mm3 0.0 to 2000.0) "h²·w" "Height squared times width of the designed connector.";
    C_STRESS "connector.bending_share" Connector Derived (Ratio 0.0 to 100.0) "bending stress" "Bending stress of the connector over that of the material's own least connector, under the same load and span.";
    ROOM_SHARE "connector.room_share" Connector Derived (Ratio 0.0 to 50.0) "room against least" "Area of the largest round connector the room takes over the least that the material wants here.";
    ROOM_H2W "connector.room_height2_width" Connector Derived (Mm3 0.0 to 2000.0) "room h²·w" "Height squared times width of the room for the connector.";
    C_BITE "connector.hard_bite" Connector Derived (Newton 0.0 to 5000.0) "hard bite" "A hard bite on the teeth that the connector and its span stand for.";
    C_BREAKS "connector.breaks_at" Connector Derived (Newton 0.0 to 100000.0) "breaks at about" "The force in the middle of the span at which such connectors broke in the laboratory, new and at one go.";
    C_BREAKS_FROM "connector.breaks_from" Connector Derived (Newton 0.0 to 100000.0) "breaks from" "The low end between published series.";
    C_BREAKS_TO "connector.breaks_to" Connector Derived (Newton 0.0 to 200000.0) "breaks up to" "The high end between published series.";
    C_BREAKS_SHARE "connector.breaks_share" Connector Derived (Ratio 0.0 to 300.0) "breaks against hard bite" "What years of chewing leave of that force, over a hard bite there.";
}

static ROWS: LazyLock<HashMap<&'static str, u16>> = LazyLock::new(|| {
    (0u16..)
        .zip(CATALOGUE)
        .map(|(row, spec)| (spec.id.as_ref(), row))
        .collect()
});

/// Returns the row of the fact with this name.
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
