//! The usual ways to run a line: dump and remake, bleed and feed, dump a part; and the removal of phosphite alone.

use crate::document::Value;
use crate::error::{Error, Place, Result};
use crate::flag::Flag;
use crate::recipe::Recipe;
use crate::study::strategy::Strategy;

const DUMP_AND_REMAKE: &str = "dump-and-remake";
const BLEED_AND_FEED: &str = "bleed-and-feed";
const PARTIAL_DUMP: &str = "partial-dump";
/// Turnovers between partial dumps.
const EVERY_TURNOVERS: f64 = 2.0;
const PHOSPHITE_REMOVAL: &str = "phosphite-removal";
const PHOSPHITE: &str = "orthophosphite";
/// Turnovers between removals of phosphite.
const REMOVED_EVERY_TURNOVERS: f64 = 0.5;
/// Part of the phosphite that leaves as phosphorous acid where it has a proton.
const AS_ACID: f64 = 0.3;
/// Below this pH phosphite has a proton, above it none: pKa2 of phosphorous acid is 6.7 at zero ionic strength.
const SECOND_PROTON_PH: f64 = 6.5;
/// A bleed that just holds its limit reaches it for ever; a shop keeps off it.
const MARGIN: f64 = 1.05;

impl Strategy {
    /// Names of the usual strategies, in the order they are shown in.
    pub const USUAL: [&str; 3] = [DUMP_AND_REMAKE, BLEED_AND_FEED, PARTIAL_DUMP];

    /// Those, and what compares only where it is asked for by name: the removal of phosphite.
    pub const KNOWN: [&str; 4] = [DUMP_AND_REMAKE, BLEED_AND_FEED, PARTIAL_DUMP, PHOSPHITE_REMOVAL];

    /// What a comparison leaves out of a strategy.
    pub(crate) fn warning(&self) -> Option<Flag> {
        (self.name == PHOSPHITE_REMOVAL).then(|| Flag {
            r#where: "event.phosphite_for_salt".to_owned(),
            what: "what it takes to remove the phosphite (reagent, filters, sludge and its disposal) is not \
                   counted, neither in the cost nor in the waste"
                .to_owned(),
        })
    }

    /// The recipe as it is: dumped and remade at its first limit.
    pub fn dump_and_remake() -> Self {
        Strategy { name: DUMP_AND_REMAKE.to_owned(), settings: Vec::new() }
    }

    /// A steady bleed. A count of turnovers says nothing of a bled bath, so that limit is off.
    pub fn bleed_and_feed(bleed_per_turnover: f64) -> Self {
        let settings = vec![
            ("tank.bleed_per_turnover".to_owned(), Value::Number(bleed_per_turnover)),
            ("limits.turnovers".to_owned(), Value::Text("off".to_owned())),
        ];
        Strategy { name: BLEED_AND_FEED.to_owned(), settings }
    }

    /// A part of the bath dumped and made up anew every so many turnovers. What such a bath reaches before
    /// each dump settles at production per turnover x turnovers / part.
    pub fn partial_dump(dump_pct: f64, every_turnovers: f64) -> Self {
        let settings = vec![
            ("event.partial_dump.dump_pct".to_owned(), Value::Number(dump_pct)),
            ("event.partial_dump.every_turnovers".to_owned(), Value::Number(every_turnovers)),
            ("limits.turnovers".to_owned(), Value::Text("off".to_owned())),
        ];
        Strategy { name: PARTIAL_DUMP.to_owned(), settings }
    }

    /// Orthophosphite alone taken out every so many turnovers; its sodium stays, as the salt of `anion`.
    ///
    /// As HPO3-2 it leaves for the charge of `anion`. In acid baths it has some 0.8 protons at pH 4.8: three tenths leave as
    /// phosphorous acid and the rest for `anion`, which takes 0.6 protons along and leaves a little acid to the
    /// caustic that holds the pH. So metal and complexant are kept, and the salt goes on growing: look at the
    /// ionic strength. How it is removed is not computed, and what that costs is in no price.
    pub fn phosphite_removal(removed_pct: f64, every_turnovers: f64, anion: &str, with_proton: bool) -> Self {
        let mut settings = Vec::new();
        let mut event = |name: &str, pct: f64, counter: &str| {
            let path = |key: &str| format!("event.{name}.{key}");
            settings.extend([
                (path(&format!("removed_pct.{PHOSPHITE}")), Value::Number(pct)),
                (path("removed_with"), Value::Text(counter.to_owned())),
                (path("every_turnovers"), Value::Number(every_turnovers)),
            ]);
        };
        if with_proton {
            let acid = AS_ACID * removed_pct;
            event("phosphite_as_acid", acid, "proton");
            // Of what the first one left.
            event("phosphite_for_salt", (removed_pct - acid) / (1.0 - acid / 100.0), anion);
        } else {
            event("phosphite_for_salt", removed_pct, anion);
        }
        settings.push(("limits.turnovers".to_owned(), Value::Text("off".to_owned())));
        Strategy { name: PHOSPHITE_REMOVAL.to_owned(), settings }
    }
}

impl Recipe {
    /// Usual strategies of these names, see [`Strategy::KNOWN`], with this bleed per turnover of plated metal.
    ///
    /// Without a bleed it is what holds the by-product, times 1.05 to keep off the limit; it is sought only
    /// for a strategy that needs it. The partial dump, every second turnover, takes out as much at once as
    /// that bleed does in two; the removal of phosphite takes out as much phosphite, every half turnover.
    ///
    /// # Errors
    /// [`Error::Recipe`] for a name that is no usual one, for the removal of phosphite from a bath that makes none,
    /// and for a bleed to be sought without a limit on the by-product; as [`Recipe::bleed_for_limit`].
    ///
    /// ```
    /// use bathkin::Value;
    /// use bathkin::study::Strategy;
    /// let recipe = bathkin::Recipe::built_in("nickel-acid")?;
    /// let usual = recipe.usual_strategies(&Strategy::USUAL, Some(0.3))?;
    /// assert_eq!(usual[1], Strategy::bleed_and_feed(0.3));
    /// assert_eq!(usual[2].settings[0].1, Value::Number(60.0));
    /// # Ok::<(), bathkin::Error>(())
    /// ```
    pub fn usual_strategies(&self, names: &[&str], bleed_per_turnover: Option<f64>) -> Result<Vec<Strategy>> {
        let mut known = bleed_per_turnover;
        let mut bleed = || -> Result<f64> {
            let found = known.map_or_else(|| self.usual_bleed(), Ok)?;
            known = Some(found);
            Ok(found)
        };
        let usual = |name: &&str| match *name {
            DUMP_AND_REMAKE => Ok(Strategy::dump_and_remake()),
            BLEED_AND_FEED => bleed().map(Strategy::bleed_and_feed),
            PARTIAL_DUMP => bleed().map(|bleed| {
                let part = (EVERY_TURNOVERS * bleed).min(1.0);
                Strategy::partial_dump(100.0 * part, EVERY_TURNOVERS)
            }),
            PHOSPHITE_REMOVAL => self.phosphite_removal(bleed()?),
            other => {
                let expected =
                    format!("{}, or settings under a name of your own", Strategy::KNOWN.join(", "));
                Err(refused("strategies", other, &expected, None))
            }
        };
        names.iter().map(usual).collect()
    }

    /// The removal of as much phosphite as a bleed takes out.
    fn phosphite_removal(&self, bleed_per_turnover: f64) -> Result<Strategy> {
        let bath = self.make_up()?;
        let totals = bath.totals()?;
        let has = |name: &&str| totals.iter().any(|(component, _)| component == name);
        let by_product = &self.model()?.heading.by_product;
        let anion = ["sulfate", "chloride"].into_iter().find(has);
        let Some(anion) = anion.filter(|_| by_product == PHOSPHITE) else {
            let expected = "a bath of sulfate or chloride whose by-product is orthophosphite";
            return Err(refused("strategies", PHOSPHITE_REMOVAL, expected, None));
        };
        let pct = 100.0 * (REMOVED_EVERY_TURNOVERS * bleed_per_turnover).min(1.0);
        let with_proton = bath.ph() < SECOND_PROTON_PH;
        Ok(Strategy::phosphite_removal(pct, REMOVED_EVERY_TURNOVERS, anion, with_proton))
    }

    /// A bleed that keeps the by-product off its limit.
    fn usual_bleed(&self) -> Result<f64> {
        let model = self.model()?;
        let limit = format!("{}_mol_l", model.heading.by_product);
        if !model.limits.iter().any(|known| known.name == limit) {
            let hint = Some("say how much to bleed".to_owned());
            let expected = format!("a limit of {} that a bleed could hold", model.heading.name);
            return Err(refused(&format!("limits.{limit}"), "(missing)", &expected, hint));
        }
        Ok(MARGIN * self.bleed_for_limit(&limit)?.bleed_per_turnover)
    }
}

fn refused(key: &str, value: &str, expected: &str, hint: Option<String>) -> Error {
    Error::Recipe {
        place: Place::without_line("compare"),
        key: key.to_owned(),
        value: value.to_owned(),
        expected: expected.to_owned(),
        hint,
    }
}
