//! Values that are one of a few words.

use super::{Kind, Refusal, Typed, Value};
use crate::job::column::Range;
use crate::job::error::Code;
use crate::job::nearest::{did_you_mean, listed};
use crate::job::{Layout, Layouts, Switched};
use crate::units::UnitSystem;

/// A closed set of words; the first of each value is the documented one.
pub(in crate::job) trait Words: Sized + Copy + 'static {
    /// Word and value.
    const WORDS: &'static [(&'static str, Self)];
    /// How it looks, for the schema text.
    const SHAPE: &'static str;
    /// How `job.toml` writes it.
    const KIND: Kind = Kind::Text;
    /// Code of any other word.
    const CODE: Code = Code::BadWord;
    /// Words named in messages (synonyms left out).
    const NAMED: usize;
    /// What to do about any other word.
    fn advice(_text: &str) -> Option<String> {
        None
    }
}

impl<W: Words> Value for W {
    const KIND: Kind = W::KIND;
    const SHAPE: &'static str = <W as Words>::SHAPE;
    fn accepted(_range: Range) -> String {
        listed(named::<W>())
    }
    fn read(text: &str, typed: &Typed) -> Result<Self, Refusal> {
        let word = text.to_lowercase();
        let known = W::WORDS.iter().find(|(name, _)| *name == word);
        known.map(|(_, value)| *value).ok_or_else(|| {
            Refusal::new(
                W::CODE,
                "is not a word known here",
                Self::accepted(typed.range),
            )
            .help(W::advice(text).or_else(|| did_you_mean(text, named::<W>())))
        })
    }
}

fn named<W: Words>() -> impl Iterator<Item = &'static str> {
    W::WORDS.iter().take(W::NAMED).map(|(word, _)| *word)
}

/// Yes or no.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::job) struct YesNo(pub bool);

impl Words for YesNo {
    const WORDS: &'static [(&'static str, Self)] = &[
        ("yes", Self(true)),
        ("no", Self(false)),
        ("true", Self(true)),
        ("false", Self(false)),
        ("y", Self(true)),
        ("n", Self(false)),
        ("1", Self(true)),
        ("0", Self(false)),
    ];
    const SHAPE: &'static str = "yes or no";
    const KIND: Kind = Kind::YesNo;
    const NAMED: usize = 2;
}

impl Words for UnitSystem {
    const WORDS: &'static [(&'static str, Self)] = &[("us", Self::Us), ("metric", Self::Metric)];
    const SHAPE: &'static str = "us or metric";
    const NAMED: usize = 2;
}

impl Words for Switched {
    const WORDS: &'static [(&'static str, Self)] = &[
        ("transformer", Self::Transformer),
        ("secondary", Self::Secondary),
    ];
    const SHAPE: &'static str = "transformer or secondary";
    const NAMED: usize = 2;
}

/// Metal of a conductor.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::job) enum Material {
    /// Plain annealed copper.
    Copper,
    /// Copper with a metal coating.
    TinnedCopper,
    /// Aluminium.
    Aluminium,
}

impl Words for Material {
    const WORDS: &'static [(&'static str, Self)] = &[
        ("copper", Self::Copper),
        ("tinned copper", Self::TinnedCopper),
        ("aluminium", Self::Aluminium),
        ("tinned", Self::TinnedCopper),
        ("aluminum", Self::Aluminium),
    ];
    const SHAPE: &'static str = "copper, tinned copper or aluminium";
    const NAMED: usize = 3;
}

/// How a conductor is made up.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::job) enum Strand {
    /// One wire (IEC 60228 class 1).
    Solid,
    /// Concentric strands (class 2).
    Stranded,
    /// Fine strands (class 5).
    Flexible,
}

impl Words for Strand {
    const WORDS: &'static [(&'static str, Self)] = &[
        ("solid", Self::Solid),
        ("stranded", Self::Stranded),
        ("flexible", Self::Flexible),
        ("class 1", Self::Solid),
        ("class 2", Self::Stranded),
        ("class 5", Self::Flexible),
    ];
    const SHAPE: &'static str = "solid, stranded or flexible";
    const NAMED: usize = 3;
}

/// The one kind of transformer that is planned with.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::job) struct TransformerKind;

impl Words for TransformerKind {
    const WORDS: &'static [(&'static str, Self)] =
        &[("magnetic", Self), ("mains-frequency magnetic", Self)];
    const SHAPE: &'static str = "magnetic";
    const CODE: Code = Code::KindRefused;
    const NAMED: usize = 1;
    fn advice(text: &str) -> Option<String> {
        let word = text.to_lowercase();
        let reason = if word.contains("dc") || word.contains("driver") || word.contains("direct") {
            "direct-current supplies are not planned: fixtures, voltage drop and switching differ"
        } else {
            "only mains-frequency magnetic transformers are planned: others limit the cable length, \
             set a least load and mislead a meter, so no voltage computed here would hold"
        };
        Some(reason.to_owned())
    }
}

/// What to minimise, as a word.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::job) enum Goal {
    /// Installed direct cost.
    Installed,
    /// The same with the present value of losses.
    WithLosses,
    /// The same with whole spools.
    WholeSpools,
}

impl Words for Goal {
    const WORDS: &'static [(&'static str, Self)] = &[
        ("installed", Self::Installed),
        ("with losses", Self::WithLosses),
        ("whole spools", Self::WholeSpools),
    ];
    const SHAPE: &'static str = "installed, with losses or whole spools";
    const NAMED: usize = 3;
}

/// The layouts a job allows, from a list of words.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::job) struct LayoutList(pub Layouts);

impl Words for Layout {
    const WORDS: &'static [(&'static str, Self)] = &[
        ("chain", Self::Chain),
        ("hub", Self::Hub),
        ("mixed", Self::Mixed),
    ];
    const SHAPE: &'static str = "chain, hub or mixed";
    const NAMED: usize = 3;
}

/// A list of layouts, one per line as the reader of `job.toml` hands it over.
impl Value for LayoutList {
    const KIND: Kind = Kind::List;
    const SHAPE: &'static str = "list of chain, hub, mixed";
    fn accepted(_range: Range) -> String {
        listed(named::<Layout>())
    }
    fn read(text: &str, typed: &Typed) -> Result<Self, Refusal> {
        let mut layouts = Layouts {
            chain: false,
            hub: false,
            mixed: false,
        };
        for word in text.lines() {
            match <Layout as Value>::read(word.trim(), typed)? {
                Layout::Chain => layouts.chain = true,
                Layout::Hub => layouts.hub = true,
                Layout::Mixed => layouts.mixed = true,
            }
        }
        Ok(Self(layouts))
    }
}
