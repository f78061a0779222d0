//! Vectors of three numbers.

/// A point in mm, a direction or a velocity.
pub type Vector = [f64; 3];

pub(crate) fn add(one: Vector, other: Vector) -> Vector {
    [one[0] + other[0], one[1] + other[1], one[2] + other[2]]
}

pub(crate) fn sub(one: Vector, other: Vector) -> Vector {
    [one[0] - other[0], one[1] - other[1], one[2] - other[2]]
}

pub(crate) fn scale(factor: f64, vector: Vector) -> Vector {
    [factor * vector[0], factor * vector[1], factor * vector[2]]
}

pub(crate) fn dot(one: Vector, other: Vector) -> f64 {
    one[0] * other[0] + one[1] * other[1] + one[2] * other[2]
}

pub(crate) fn cross(one: Vector, other: Vector) -> Vector {
    [
        one[1] * other[2] - one[2] * other[1],
        one[2] * other[0] - one[0] * other[2],
        one[0] * other[1] - one[1] * other[0],
    ]
}

pub(crate) fn length(vector: Vector) -> f64 {
    dot(vector, vector).sqrt()
}

/// Returns the vector at length one, none for one without length or with numbers that are none.
pub(crate) fn unit(vector: Vector) -> Option<Vector> {
    let length = length(vector);
    (length.is_finite() && length > 0.0).then(|| scale(1.0 / length, vector))
}
