//! Output, errors and help of the command line and of the settings.
