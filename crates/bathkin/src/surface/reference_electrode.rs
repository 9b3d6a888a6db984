//! Reference electrodes: what a potential is measured against.

/// A reference electrode, by the offset of its potential.
///
/// | electrode | against the standard hydrogen electrode at 25 degC, V |
/// |---|---|
/// | SHE, standard hydrogen | 0 |
/// | SCE, saturated calomel (Hg/Hg2Cl2, saturated KCl) | +0.2412 |
/// | AgAgCl, silver/silver chloride in saturated KCl | +0.197 |
///
/// Source: Bard & Faulkner, Electrochemical Methods, 2nd ed., Wiley 2001, table on the inside back cover,
/// as quoted in collections of reference potentials; others print 0.244 for SCE with its liquid junction.
/// Kind: published. The electrode is taken as kept at 25 degC beside the hot bath; liquid and thermal
/// junctions, a few millivolts, are left out.
///
/// ```
/// use bathkin::surface::ReferenceElectrode;
/// let calomel = ReferenceElectrode::parse("SCE").unwrap();
/// assert!((calomel.from_she_v(-0.3988) + 0.64).abs() < 1e-12);
/// assert!((calomel.to_she_v(-0.64) + 0.3988).abs() < 1e-12);
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, schemars::JsonSchema, serde::Serialize)]
pub enum ReferenceElectrode {
    /// Standard hydrogen electrode.
    #[serde(rename = "SHE")]
    She,
    /// Saturated calomel electrode.
    #[serde(rename = "SCE")]
    Sce,
    /// Silver/silver chloride in saturated potassium chloride.
    AgAgCl,
}

impl ReferenceElectrode {
    /// Names and electrodes.
    pub const NAMES: [(&'static str, ReferenceElectrode); 3] = [
        ("SHE", ReferenceElectrode::She),
        ("SCE", ReferenceElectrode::Sce),
        ("AgAgCl", ReferenceElectrode::AgAgCl),
    ];

    /// An electrode by its name, in capitals or not.
    pub fn parse(name: &str) -> Option<Self> {
        Self::NAMES
            .iter()
            .find(|(known, _)| known.eq_ignore_ascii_case(name))
            .map(|(_, electrode)| *electrode)
    }

    /// Its name.
    pub fn name(self) -> &'static str {
        match self {
            ReferenceElectrode::She => "SHE",
            ReferenceElectrode::Sce => "SCE",
            ReferenceElectrode::AgAgCl => "AgAgCl",
        }
    }

    /// Its own potential, V SHE.
    pub fn potential_v(self) -> f64 {
        match self {
            ReferenceElectrode::She => 0.0,
            ReferenceElectrode::Sce => 0.2412,
            ReferenceElectrode::AgAgCl => 0.197,
        }
    }

    /// A potential against this electrode from one against the standard hydrogen electrode.
    pub fn from_she_v(self, potential_v: f64) -> f64 {
        potential_v - self.potential_v()
    }

    /// A potential against the standard hydrogen electrode from one against this electrode.
    pub fn to_she_v(self, potential_v: f64) -> f64 {
        potential_v + self.potential_v()
    }
}
