//! Why a figure, a reading or an option is not to be had.
