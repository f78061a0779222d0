//! What is said back to a key or a line: prompts, notices, refusals.
