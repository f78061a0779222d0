//! The same limit analysis by a general conic solver, from the nodes alone.

use casepan::mechanics::dislodgement::{Limits, Load, Restoration};
use casepan::mechanics::prep::Node;
use clarabel::algebra::CscMatrix;
use clarabel::io::ConfigurablePrintTarget as _;
use clarabel::solver::{DefaultSettings, DefaultSolver, IPSolver, SolverStatus, SupportedConeT};

fn cross(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    [
        a[1] * b[2] - a[2] * b[1],
        a[2] * b[0] - a[0] * b[2],
        a[0] * b[1] - a[1] * b[0],
    ]
}

/// Returns λ in N per MPa, none when the solver does not call it solved to the tolerance.
///
/// Unknowns: λ, then per node the traction along normal and tangents. Rows: six equations of equilibrium in units of
/// the mean lever, then per node two limits of the normal traction and a cone of three for the shear.
pub(crate) fn reference(
    restoration: &Restoration,
    limits: Limits,
    load: &Load,
    tolerance: f64,
) -> Option<f64> {
    let nodes: Vec<&Node> = restoration.abutments.iter().flatten().collect();
    let columns = 1 + 3 * nodes.len();
    let size = load.direction.iter().map(|x| x * x).sum::<f64>().sqrt();
    let force = load.direction.map(|x| x / size);
    // Moments about the middle of the nodes, in units of 5 mm, keep the equations of like size.
    let mut middle = [0.0; 3];
    for node in &nodes {
        for (sum, x) in middle.iter_mut().zip(node.position) {
            *sum += x / nodes.len() as f64;
        }
    }
    let wrench = |point: [f64; 3], f: [f64; 3]| {
        let arm = [0, 1, 2].map(|k| (point[k] - middle[k]) / 5.0);
        let moment = cross(arm, f);
        [f[0], f[1], f[2], moment[0], moment[1], moment[2]]
    };
    let mut starts = vec![0];
    let mut rows = Vec::new();
    let mut values = Vec::new();
    for (row, value) in wrench(load.point, force).into_iter().enumerate() {
        rows.push(row);
        values.push(-value);
    }
    starts.push(rows.len());
    for (index, node) in nodes.iter().enumerate() {
        let first = 6 + 5 * index;
        let own = [(first, 1.0), (first + 1, -1.0)];
        for (direction, limit_rows) in [
            (node.normal, &own[..]),
            (node.tangents[0], &[(first + 3, -1.0)]),
            (node.tangents[1], &[(first + 4, -1.0)]),
        ] {
            for (row, value) in wrench(node.position, direction).into_iter().enumerate() {
                rows.push(row);
                values.push(node.area * value);
            }
            for &(row, value) in limit_rows {
                rows.push(row);
                values.push(value);
            }
            starts.push(rows.len());
        }
    }
    let height = 6 + 5 * nodes.len();
    let mut right = vec![0.0; 6];
    let mut cones = vec![SupportedConeT::ZeroConeT(6)];
    for _ in &nodes {
        right.extend([limits.tension, limits.pressing, 1.0, 0.0, 0.0]);
        cones.push(SupportedConeT::NonnegativeConeT(2));
        cones.push(SupportedConeT::SecondOrderConeT(3));
    }
    let mut cost = vec![0.0; columns];
    cost[0] = -1.0;
    let settings = DefaultSettings {
        verbose: false,
        tol_gap_abs: tolerance,
        tol_gap_rel: tolerance,
        tol_feas: tolerance,
        max_iter: 200,
        ..DefaultSettings::default()
    };
    let mut solver = DefaultSolver::new(
        &CscMatrix::zeros((columns, columns)),
        &cost,
        &CscMatrix::new(height, columns, starts, rows, values),
        &right,
        &cones,
        settings,
    )
    .ok()?;
    solver.print_to_sink();
    solver.solve();
    (solver.solution.status == SolverStatus::Solved).then(|| solver.solution.x[0])
}
