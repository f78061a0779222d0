//! Sentences in what is written as JSON, and descriptions of its schema.

/// The model behind the figures of grip.
pub const MODEL: &str = "rigid restoration; at each node |shear| <= c, -tension*c <= normal <= pressing*c, pressing positive; \
demand is force over the largest multiplier in equilibrium at c = 1 MPa";

/// Where the nodes of the model lie.
pub const NODES: &str = "16 evenly round the tooth by 5 up the wall, by Simpson's rule over two halves of the height, and \
16 each at the rim and middle of the top";

/// What a tooth is.
pub const TOOTH: &str = "A permanent tooth by its ISO 3950 number.";

/// What a place is.
pub const PLACE: &str = "The case, a restoration, a unit, a wall of a unit or a connector.";

/// What a fact is.
pub const FACT: &str = "The name of a fact in files; `casepan flow facts` lists them.";
