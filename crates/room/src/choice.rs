//! Small choices that several sections share.

use fields::{Entry, Field, Kind, Need, Word};
use quantity::Given;
use serde::Serialize;

/// An enum whose variants stand in the file as words.
///
/// The words of the table and the variants are written once, side by side.
macro_rules! choice {
    ($(#[$doc:meta])* $name:ident { $($(#[$vdoc:meta])* $variant:ident = $word:literal, $help:literal;)* }) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, serde::Serialize)]
        #[serde(rename_all = "snake_case")]
        pub enum $name { $($(#[$vdoc])* #[doc = $help] $variant,)* }

        impl $name {
            /// The words of the file and what they mean.
            pub const WORDS: &'static [fields::Word] = &[$(($word, $help)),*];

            /// The word that stands for this in a file.
            pub const fn word(self) -> &'static str {
                match self { $(Self::$variant => $word,)* }
            }

            /// From a word of [`Self::WORDS`].
            pub(crate) fn from_word(word: &str) -> Self {
                match word {
                    $($word => Self::$variant,)*
                    other => panic!("{other} is not in the table"),
                }
            }
        }
    };
}
pub(crate) use choice;

choice! {
    /// What lies on the other side of a surface, or where air comes from.
    Side {
        Outdoor = "outdoor", "outdoor air";
        Adjacent = "adjacent", "the space around the room";
        Ground = "ground", "the ground under the floor";
    }
}

choice! {
    /// Where a discharge or a machine's face points.
    Facing {
        PlusX = "+x", "away from the door wall";
        MinusX = "-x", "towards the door wall";
        PlusY = "+y", "towards the far side wall";
        MinusY = "-y", "towards the near side wall";
    }
}

choice! {
    /// A wall, by the direction that one looks in to see it from inside.
    Wall {
        PlusX = "+x", "the wall opposite the door wall";
        MinusX = "-x", "the door wall, x = 0";
        PlusY = "+y", "the side wall at y = width";
        MinusY = "-y", "the side wall at y = 0";
    }
}

/// Words of [`Side`] for a surface or air that cannot be the ground.
pub(crate) const AIR_SIDES: &[Word] = &[
    ("outdoor", "outdoor air"),
    ("adjacent", "the space around the room"),
];

/// When in the day something happens.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Hours {
    /// The whole day.
    Always,
    /// From one time of day to another, past midnight if it ends before it
    /// starts.
    Between {
        /// Start, seconds after midnight.
        from_s: u32,
        /// End, seconds after midnight.
        to_s: u32,
    },
}

impl Hours {
    /// Whether this second after midnight is inside; the end is not.
    pub fn contain(self, second_of_day: u32) -> bool {
        match self {
            Self::Always => true,
            Self::Between { from_s, to_s } if from_s <= to_s => {
                (from_s..to_s).contains(&second_of_day)
            }
            Self::Between { from_s, to_s } => second_of_day >= from_s || second_of_day < to_s,
        }
    }
}

pub(crate) const FROM: Field = Field::new(
    "from",
    Kind::Clock,
    Need::Optional,
    "Start, if it is not the whole day.",
);
pub(crate) const TO: Field = Field::new(
    "to",
    Kind::Clock,
    Need::Optional,
    "End; may be past midnight.",
);

/// Hours from the fields `from` and `to`.
pub(crate) fn hours(entry: &Entry) -> Hours {
    match (entry.clock("from"), entry.clock("to")) {
        (Some(from), Some(to)) => Hours::Between {
            from_s: from.value,
            to_s: to.value,
        },
        _ => Hours::Always,
    }
}

/// A choice field as its enum.
pub(crate) fn given<T>(
    word: Given<&'static str>,
    from_word: impl FnOnce(&'static str) -> T,
) -> Given<T> {
    word.map(from_word)
}
