//! What a life shows beyond its first limit: when the others are reached, and where dumping is cheapest.

use schemars::JsonSchema;
use serde::Serialize;

use crate::document::Entry;
use crate::error::Result;
use crate::flag::Flag;
use crate::life::cost::{cost_without_steps, optimum, points};
use crate::life::outlook::crossing;
use crate::life::{Life, Limit, LimitCrossing, Optimum, Outlook, Settings, Table, Verdict, simulate};
use crate::recipe::Recipe;
use crate::source::Kind;
use crate::tank::{CostParts, CostPoint, Quantity, Waste};

/// What a life has cost.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct LifeCost {
    /// Currency of every price.
    pub currency: String,
    /// Cost of the life, dumped at its end.
    pub cost: f64,
    /// Thickness times area plated, um dm².
    pub deposit_um_dm2: f64,
    /// Cost per um dm².
    pub cost_per_um_dm2: f64,
    /// Parts of the cost.
    pub parts: CostParts,
    /// Waste.
    pub waste: Waste,
    /// Where dumping is cheapest; `None` when the cost per work still falls where the computation ended.
    pub optimum: Option<Optimum>,
    /// Whether a limit ended the life, and not the end of the run.
    pub limit_reached: bool,
    /// Whether that is beyond the first limit: then the limit comes first.
    pub optimum_beyond_first_limit: bool,
    /// Turnovers up to which the optimum was looked for.
    pub looked_to_turnovers: f64,
    /// Cost if dumped at each row of the table.
    pub curve: Vec<CostPoint>,
    /// The same past the first limit, where it was looked at.
    pub past_first_limit: Vec<CostPoint>,
}

impl Recipe {
    /// The life run on past its first limit, to twice its turnovers and one more.
    ///
    /// # Errors
    /// As [`Recipe::simulate_life`]: a bath past its limits may run dry or lose its pH.
    pub fn life_past_limits(&self, verdict: &Verdict) -> Result<Life> {
        let model = self.model()?;
        let further = |now: f64| 2.0 * now + 1.0;
        let turnovers = Limit::on(&model.tank, Quantity::TURNOVERS, further(verdict.turnovers));
        const LONGER: f64 = 10.0;
        let longest_clock_h = (LONGER * further(verdict.clock_h)).max(model.settings.longest_clock_h);
        let settings = Settings { longest_clock_h, ..model.settings.clone() };
        simulate(&model.tank, &model.fresh_totals_mol_l, &[turnovers], &settings, &mut |_| true)
    }

    /// When each limit is reached, and each cap of work that is not plated, and how far that was looked for: by
    /// the table of a life and what it left of its limits ([`Life::margins`]), and by the table of the life run on
    /// past its first limit where it is given.
    ///
    /// # Errors
    /// As [`Recipe::model`].
    pub fn outlook(
        &self,
        verdict: &Verdict,
        table: &Table,
        margins: &[(String, f64)],
        past: Option<&Life>,
    ) -> Result<Vec<Outlook>> {
        let model = self.model()?;
        let end = verdict.turnovers;
        let mine = model.limits.iter().map(|limit| (limit, true));
        let others = model.limits_of_other_work.iter().map(|limit| (limit, false));
        Ok(mine
            .chain(others)
            .map(|(limit, applies)| {
                // The table shows the bath as it stands, low or cold; the life judged it at its working level.
                let margin = margins.iter().find(|(path, _)| applies && *path == limit.path);
                let within = match margin.map(|(_, margin)| *margin > 0.0) {
                    Some(true) => None,
                    judged => {
                        let at_end = || judged.map(|_| LimitCrossing::at_end(verdict));
                        crossing(limit, &model.tank, table).or_else(at_end)
                    }
                };
                let later = || {
                    past.and_then(|past| crossing(limit, &model.tank, &past.table))
                        .filter(|at| at.turnovers >= end)
                };
                let reached = within.or_else(later);
                let looked = past.filter(|_| reached.is_none()).map_or(verdict, |past| &past.verdict);
                Outlook {
                    name: limit.name.clone(),
                    path: limit.path.clone(),
                    substrate: limit.substrate.clone(),
                    applies,
                    bound: limit.bound,
                    as_given: limit.as_given(None),
                    past_first_limit: within.is_none(),
                    reached,
                    looked_to_turnovers: looked.turnovers,
                    looked_to_h: looked.clock_h,
                }
            })
            .collect())
    }

    /// What a life with this table has cost per um dm², dumped at its end, without the steps of single doses; `None`
    /// for a recipe without prices.
    ///
    /// # Errors
    /// As [`Recipe::model`].
    pub fn cost_per_um_dm2(&self, table: &Table) -> Result<Option<f64>> {
        let tank = &self.model()?.tank;
        Ok(tank.operation.cost.as_ref().and_then(|cost| cost_without_steps(cost, tank, table)))
    }

    /// What a life has cost and where dumping would be cheapest; `None` for a recipe without prices.
    ///
    /// Where the cost still falls at the end of the life, the life is run on past its limits to see how far.
    ///
    /// # Errors
    /// As [`Recipe::model`].
    pub fn life_cost(&self, verdict: &Verdict, table: &Table) -> Result<Option<LifeCost>> {
        let tank = &self.model()?.tank;
        let Some(cost) = &tank.operation.cost else { return Ok(None) };
        let curve = points(cost, tank, table);
        let Some(end) = curve.last().copied() else { return Ok(None) };
        let rises = curve.iter().rev().skip(2).any(|point| point.cost_per_um_dm2 < end.cost_per_um_dm2);
        // A bath that cannot be run on has its optimum, if any, where it ended or before.
        let past = if rises { None } else { self.life_past_limits(verdict).ok() };
        self.go_on()?;
        let further = past.map_or_else(|| curve.clone(), |past| points(cost, tank, &past.table));
        // Just before a dose the last row is cheaper than the rows after doses that the optimum is made of.
        let cheapest = optimum(&further).map(|at| match at.turnovers_plated <= end.turnovers_plated {
            true if end.cost_per_um_dm2 < at.cost_per_um_dm2 => Optimum {
                turnovers: end.turnovers,
                turnovers_plated: end.turnovers_plated,
                clock_h: end.clock_h,
                cost_per_um_dm2: end.cost_per_um_dm2,
            },
            _ => at,
        });
        Ok(Some(LifeCost {
            currency: cost.currency.clone(),
            cost: end.cost,
            limit_reached: verdict.limit != "none",
            deposit_um_dm2: end.deposit_um_dm2,
            cost_per_um_dm2: end.cost_per_um_dm2,
            parts: end.parts,
            waste: end.waste,
            optimum: cheapest,
            optimum_beyond_first_limit: cheapest.is_none_or(|at| at.turnovers_plated > end.turnovers_plated),
            looked_to_turnovers: further.last().map_or(end.turnovers, |point| point.turnovers),
            past_first_limit: further
                .into_iter()
                .filter(|point| point.turnovers_plated > end.turnovers_plated)
                .collect(),
            curve,
        }))
    }
}

impl Recipe {
    /// Warnings that go with a cost: prices nobody paid, and what has no price.
    ///
    /// # Errors
    /// As [`Recipe::model`].
    pub fn price_flags(&self) -> Result<Vec<Flag>> {
        let Some(cost) = &self.model()?.tank.operation.cost else { return Ok(Vec::new()) };
        let prices = self.document().under("cost");
        let invented =
            |entry: &&Entry| entry.source.as_ref().is_some_and(|source| source.kind == Kind::Invented);
        let demo = prices.filter(invented).count();
        let mut flags = Vec::new();
        if demo > 0 {
            let what = format!("{demo} prices were invented for the demo: put in your own");
            flags.push(Flag { r#where: "cost".to_owned(), what });
        }
        flags.extend(cost.unpriced.iter().map(|name| Flag {
            r#where: format!("cost.reagent_per_kg.{name}"),
            what: format!("{name} has no price: it is not in the cost"),
        }));
        Ok(flags)
    }
}
