//! The sentence of every remark, in one place, beside its code and values.

/// An enum of remarks: code, name and values of each, and the sentence made of these.
macro_rules! remarks {
    (
        $(#[$about:meta])*
        $of:ident;
        $($code:expr, $name:ident { $($field:ident: $kind:ty),* $(,)? } => $text:expr;)*
    ) => {
        $(#[$about])*
        #[derive(Debug, Clone)]
        pub(crate) enum $of {
            $($name { $($field: $kind),* },)*
        }

        impl From<$of> for bathkin::Remark {
            fn from(of: $of) -> Self {
                match of {
                    $($of::$name { $($field),* } => {
                        let (code, text) = ($code, String::from($text));
                        let values = vec![$((stringify!($field).to_owned(), $field.into())),*];
                        bathkin::Remark { code, text, values }
                    })*
                }
            }
        }
    };
}

// Behind the macro, which they use.
pub(crate) mod ahead;
pub(crate) mod arrhenius;
pub(crate) mod assumed;
pub(crate) mod data;
pub(crate) mod estimates;
pub(crate) mod groups;
pub(crate) mod misfit;

/// Numbers of rows, the first few.
pub(crate) fn listed(rows: &[usize]) -> String {
    const SHOWN: usize = 8;
    let shown: Vec<String> = rows.iter().take(SHOWN).map(usize::to_string).collect();
    let more = rows.len().saturating_sub(SHOWN);
    let rest = if more > 0 { format!(" and {more} more") } else { String::new() };
    format!("{}{rest}", shown.join(", "))
}

/// The ends of a 95 % interval with so many digits.
pub(crate) fn ends([low, high]: [f64; 2], digits: usize) -> String {
    format!("{} to {}", crate::format::number(low, digits), crate::format::number(high, digits))
}
