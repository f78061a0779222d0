//! How the screen looks: the palette, and the signs that pictures are made of.

use super::theme::Theme;

/// The signs that pictures are made of.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Signs {
    /// Braille dots, two by four in a character, and blocks.
    #[default]
    Braille,
    /// Plain ASCII, for terminals and fonts without braille.
    Ascii,
}

/// How the screen looks.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Look {
    /// The palette.
    pub theme: Theme,
    /// The signs of pictures.
    pub signs: Signs,
}

impl From<Theme> for Look {
    fn from(theme: Theme) -> Look {
        Look {
            theme,
            signs: Signs::default(),
        }
    }
}
