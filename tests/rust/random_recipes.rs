//! Whatever numbers are written into a recipe, the answer is a bath or a message, never a panic.

use bathkin::recipe::{Recipe, Value};
use proptest::prelude::*;

use crate::recipes::fixed_cases;

/// Paths of the numbers of a built-in recipe, with their values.
fn numbers(recipe: &Recipe) -> Vec<(String, f64)> {
    let of = |value: &Value| if let Value::Number(number) = value { Some(*number) } else { None };
    recipe
        .document()
        .entries()
        .iter()
        .filter_map(|entry| of(&entry.value).map(|number| (entry.path.clone(), number)))
        .collect()
}

proptest! {
    #![proptest_config(fixed_cases(256))]

    /// Half of the numbers are anything within a thousand of zero, the other half the built-in
    /// value times up to three, so that many recipes come through and are computed.
    #[test]
    fn random_numbers_give_a_bath_or_a_message(
        which in prop::sample::select(Recipe::built_in_names().collect::<Vec<_>>()),
        changes in prop::collection::vec(
            (any::<prop::sample::Index>(), any::<bool>(), -1e3..1e3_f64, 0.0..3.0_f64), 1..5,
        ),
    ) {
        let built_in = Recipe::built_in(which).expect("built in");
        let numbers = numbers(&built_in);
        let recipe = changes.iter().fold(built_in, |recipe, (index, near, anything, times)| {
            let (path, value) = index.get(&numbers);
            recipe.with(path, Value::Number(if *near { value * times } else { *anything }), "the test")
        });
        let found = recipe.model().map(|_| ()).and_then(|()| recipe.make_up()).and_then(|bath| {
            let rate = bath.rate()?;
            bath.flags()?;
            Ok((bath.ph(), rate))
        });
        match found {
            Ok((ph, rate)) => {
                prop_assert!(ph.is_finite(), "pH {ph} with {:?}", recipe.overrides());
                prop_assert!(
                    rate.deposition_um_h.is_finite() && rate.deposition_um_h >= 0.0,
                    "{rate:?} with {:?}", recipe.overrides()
                );
            }
            Err(error) => {
                prop_assert!(error.to_string().len() > 10, "{error} with {:?}", recipe.overrides());
                prop_assert!(error.is_input(), "{error} with {:?}", recipe.overrides());
            }
        }
    }
}
