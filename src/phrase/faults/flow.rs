//! What is wrong with a flow.
