//! How what is held changes with a reading, without solving again.

use super::{Dislodgement, Restoration, velocity_rows};

/// Returns the change of λ per unit of a reading, in N per MPa per unit.
///
/// `found` is the solution at the reading; `less` and `more` are the same restoration at the reading less and more
/// `step`. By the envelope theorem motion and tractions stay put while the geometry changes: the change is that of
/// `Σ area G ξ·t`, tractions in the axes of the node, at a power of the load of one. At a kink, where the motion jumps,
/// it is the change to one side.
///
/// None when the restorations do not have the same nodes or the result is no number.
pub fn sensitivity(
    found: &Dislodgement,
    less: &Restoration,
    more: &Restoration,
    step: f64,
) -> Option<f64> {
    let change = (worth(found, more)? - worth(found, less)?) / (2.0 * step);
    change.is_finite().then_some(change)
}

/// The power of the tractions of a solution in its motion, on another geometry.
fn worth(found: &Dislodgement, restoration: &Restoration) -> Option<f64> {
    let [x, y, z] = found.motion.velocity;
    let [a, b, c] = found.motion.rotation;
    let motion = [x, y, z, a, b, c];
    if restoration.abutments.len() != found.tractions.len() {
        return None;
    }
    let mut sum = 0.0;
    for (nodes, tractions) in restoration.abutments.iter().zip(&found.tractions) {
        if nodes.len() != tractions.len() {
            return None;
        }
        for (node, tractions) in nodes.iter().zip(tractions) {
            for (row, traction) in velocity_rows(node).iter().zip(tractions) {
                sum += node.area * traction * super::linear::dot(row, &motion);
            }
        }
    }
    Some(sum)
}
