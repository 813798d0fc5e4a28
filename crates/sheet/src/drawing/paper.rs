//! Sizes of paper and of figures.

/// Width and height of a drawing \[mm\].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Size {
    /// Width \[mm\].
    pub width_mm: f64,
    /// Height \[mm\].
    pub height_mm: f64,
}

/// A sheet of paper that can be bought.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Paper {
    /// 210 × 297 mm.
    #[default]
    A4,
    /// 297 × 420 mm.
    A3,
    /// 8.5 × 11 in.
    Letter,
    /// 11 × 17 in.
    Tabloid,
}

impl Paper {
    /// The sheet standing.
    pub const fn portrait(self) -> Size {
        let (width_mm, height_mm) = match self {
            Self::A4 => (210.0, 297.0),
            Self::A3 => (297.0, 420.0),
            Self::Letter => (215.9, 279.4),
            Self::Tabloid => (279.4, 431.8),
        };
        Size {
            width_mm,
            height_mm,
        }
    }

    /// The sheet lying.
    pub const fn landscape(self) -> Size {
        let Size {
            width_mm,
            height_mm,
        } = self.portrait();
        Size {
            width_mm: height_mm,
            height_mm: width_mm,
        }
    }
}
