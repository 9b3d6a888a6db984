//! What the dictionary holds of a quantity.

use super::At;
use super::piece::Piece;
use crate::tank::{BathState, Tank};

/// Slot of a component, and what a quantity is for a mole of it per litre, from the tank and the member.
type Content = fn(&Tank, usize) -> (usize, f64);

/// An entry of the dictionary. `Entry::new` has what most have.
#[derive(Clone, Copy)]
pub struct Entry {
    /// Its name; `{}` stands for the member.
    pub(super) name: &'static str,
    /// How many of it a bath has.
    pub(super) members: Members,
    /// Words for it; `{}` stands for the member, `{metal}` for the metal of the bath.
    pub title: &'static str,
    /// Words for a limit on it, where they differ.
    pub limit_title: Option<&'static str>,
    /// Symbol.
    pub symbol: &'static str,
    /// Unit; empty for a pure number.
    pub unit: &'static str,
    /// One sentence that says what it is.
    pub definition: &'static str,
    /// Its value.
    pub(super) value: fn(&At) -> f64,
    /// Which way it gets worse.
    pub(super) worse: fn(&Tank, usize) -> Worse,
    /// Error of its analysis.
    pub error: UsualError,
    /// What a bound on it may be.
    pub range: Range,
    /// Decimals that show it in a sentence.
    pub decimals: usize,
    /// How it goes with the level of the bath.
    pub level: Level,
    /// Whether it is a logarithm of anything from next to nothing.
    pub logarithmic: bool,
    /// Whether it only grows with what is done, and never settles.
    pub counts: bool,
    /// What has to be computed for it.
    pub needs: Needs,
    /// Whether a life shows a member as a column.
    pub(super) column: fn(&Tank, usize) -> bool,
    /// Whether it can be read off a bath, and not off a coupon alone.
    pub(super) of_bath: bool,
    /// What it is on a piece that was plated.
    pub(super) of_piece: Option<fn(&Piece) -> f64>,
    /// The component it is an amount of, and what it is for a mole of that per litre.
    pub(super) content: Option<Content>,
    /// A limit in per cent of something.
    pub share: Option<Share>,
    /// What conditions of warnings call it, where they differ.
    pub warned_as: Option<&'static str>,
    /// What people head a column with in place of its name, without a unit, in words joined by `_`; the first one
    /// stands in messages.
    pub spellings: &'static [&'static str],
    /// The same where only a table of coupons can mean it.
    pub coupon_spellings: &'static [&'static str],
}

/// Which way a quantity gets worse: the side from which a bare name limits it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Worse {
    /// As it rises.
    Rising,
    /// As it falls.
    Falling,
    /// Either way, or neither.
    Neither,
}

/// How a quantity goes with the level: a bath that stands low is filled up before a limit judges it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Level {
    /// It is judged as the bath stands.
    AsItStands,
    /// An amount per litre: it goes with the share of the contents.
    PerLitre,
    /// It rises as water leaves, and is solved at the working level.
    Solved,
}

/// What the error of an analysis usually is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum UsualError {
    /// Standard deviation in the unit of the quantity, with its source.
    Absolute(f64, &'static str),
    /// Relative standard deviation, with a floor of half as much of the largest value, and its source.
    Relative(f64, &'static str),
}

/// What a bound may be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Range {
    /// Above zero.
    Positive,
    /// Zero or more.
    NotNegative,
    /// From, to, and in words.
    Between(f64, f64, &'static str),
}

/// What has to be computed before a quantity is known in a log.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Needs {
    /// Nothing beyond what each step of the integration has.
    Nothing,
    /// The pH of a cooled sample.
    CooledSample,
    /// The liquid, solved by itself.
    Liquid,
}

/// A limit in per cent of something.
#[derive(Clone, Copy)]
pub struct Share {
    /// Its key.
    pub key: &'static str,
    /// Its unit: per cent of what.
    pub unit: &'static str,
    /// What it is a part of, from the tank and its fresh bath.
    pub whole: fn(&Tank, &BathState) -> f64,
}

/// How many of a quantity a bath has.
#[derive(Debug, Clone, Copy)]
pub(super) enum Members {
    /// One, in every bath.
    One,
    /// One, in a bath that has it.
    If(fn(&Tank) -> bool),
    /// One for each of these.
    Each(fn(&Tank) -> Vec<String>),
}

impl Members {
    /// What distinguishes them; empty for one that stands alone.
    pub(super) fn of(self, tank: &Tank) -> Vec<String> {
        match self {
            Members::One => vec![String::new()],
            Members::If(there) => there(tank).then(String::new).into_iter().collect(),
            Members::Each(members) => members(tank),
        }
    }
}

/// Neither way.
pub(super) fn neither(_: &Tank, _: usize) -> Worse {
    Worse::Neither
}

/// As it rises.
pub(super) fn rising(_: &Tank, _: usize) -> Worse {
    Worse::Rising
}

/// As it falls.
pub(super) fn falling(_: &Tank, _: usize) -> Worse {
    Worse::Falling
}

/// Shown in every life.
pub(super) fn always(_: &Tank, _: usize) -> bool {
    true
}

/// Shown in none.
pub(super) fn never(_: &Tank, _: usize) -> bool {
    false
}

/// What titrations and weighings are usually good for.
const TITRATION: UsualError = UsualError::Relative(0.02, "common practice, no source");

impl Entry {
    /// What most entries have: zero or more, shown in every life, known to 2 %, with a liquid of its own.
    pub(super) const fn new(
        name: &'static str,
        title: &'static str,
        symbol: &'static str,
        unit: &'static str,
    ) -> Entry {
        Entry { name, title, symbol, unit, ..Entry::PLAIN }
    }

    /// What counts of what was done have.
    pub(super) const fn count(
        name: &'static str,
        title: &'static str,
        symbol: &'static str,
        unit: &'static str,
    ) -> Entry {
        let plain = Entry::new(name, title, symbol, unit);
        Entry { counts: true, needs: Needs::Nothing, range: Range::Positive, ..plain }
    }

    const PLAIN: Entry = Entry {
        name: "",
        members: Members::One,
        title: "",
        limit_title: None,
        symbol: "",
        unit: "",
        definition: "",
        value: |_| f64::NAN,
        worse: neither,
        error: TITRATION,
        range: Range::NotNegative,
        decimals: 3,
        level: Level::AsItStands,
        logarithmic: false,
        counts: false,
        needs: Needs::Liquid,
        column: always,
        of_bath: true,
        of_piece: None,
        content: None,
        share: None,
        warned_as: None,
        spellings: &[],
        coupon_spellings: &[],
    };
}
