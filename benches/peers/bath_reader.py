"""From the recipe of the bench and the data files of the library to the bath of `bath_model.py`.

Every number comes from there; the formula parser, the equilibrium constants and the rate laws are
written here a second time, so that agreement with bathkin means something. Two values per
temperature have no data file, the ionic product of water and the Debye-Hückel slope: they are read
off a bath that bathkin makes up. The Davies equation has none either and is written out, as the
density scale is in `bath_model.py`. Needs Python 3.11 (`tomllib`).
"""

import math
import re
from pathlib import Path

import numpy as np
import tomllib
from bath_model import LN_10, REFERENCE_TEMPERATURE_C, Bath, Solution, Surface, water_kg_l
from bathkin import _core
from scipy import constants as si

DM2_PER_M2 = 100.0
DATA = Path(__file__).resolve().parents[2] / "crates" / "bathkin" / "data"

# The recipe of the bench, and what is set in it, as in ../bath.rs.
POWER_LAW = Path(__file__).resolve().parents[1] / "data" / "power-law.toml"
BENCH = {
    "work.hours_per_day": 24.0,
    "work.days_per_week": 7.0,
    "ph_control.dead_band_ph": 0.05,
    "replenishment.metal_trigger_pct": 97.5,
    "limits.turnovers": 8.0,
    "limits.orthophosphite_g_l_as_hpo3": 1000.0,
    "limits.deposition_pct_of_fresh": 1.0,
    "limits.phosphorus_wt_pct_max": 50.0,
}


def bench_recipe(turnovers: float, activity: str = "davies"):
    """The recipe of the bench, as bathkin reads it."""
    recipe = _core.Recipe.load(str(POWER_LAW))
    recipe = recipe.with_value("solution.activity", activity, "the bench")
    for path, value in (BENCH | {"limits.turnovers": turnovers}).items():
        recipe = recipe.with_value(path, value, "the bench")
    return recipe


def numbers_of(recipe) -> dict:
    """The values of a recipe by their paths."""
    return {entry.path: entry.value for entry in recipe.numbers()}


def bath_of(recipe) -> Bath:
    """Resolves a recipe; only what the bath of the bench uses is understood."""
    values = numbers_of(recipe)
    data = {name: read_tables(name) for name in ("elements", "components", "reagents", "volumes")}
    data["species"] = {
        name: chosen(species, values.get(f"species.{name}.constant"))
        for path in sorted(DATA.glob("species_*.toml"))
        for name, species in read_tables(path.stem).items()
    }
    weights = {symbol: element["atomic_weight"] for symbol, element in data["elements"].items()}
    fed = [
        moles_of(children(values, "make_up"), data["reagents"], weights),
        moles_of(children(values, "replenisher.metal"), data["reagents"], weights),
        moles_of(children(values, "replenisher.reductant"), data["reagents"], weights),
        moles_of(
            {f"{values['ph_control.reagent']}_g_l": values["ph_control.corrector_g_l"]},
            data["reagents"],
            weights,
        ),
    ]
    reactions = children_of_children(values, "half_reaction")
    # The pH of the make-up is set with the reagent of the corrector.
    assert values["operation.ph_reagent"] == values["ph_control.reagent"]
    used = set().union(*fed, *(children(reaction, "liquid") for reaction in reactions.values()))
    components = [name for name in data["components"] if name in used - {"proton", "water"}]
    make_up, *replenishers = np.array([[one.get(name, 0.0) for name in components] for one in fed])

    deposited = sorted({atom for r in reactions.values() for atom in children(r, "deposit")})
    metal_element = deposited.index(next(iter(children(reactions["metal"], "deposit"))))
    # The species that these components can form.
    formed = {
        name: species
        for name, species in data["species"].items()
        if set(species["forms_from"]) <= {*components, "proton", "water"}
    }
    return Bath(
        components=components,
        species=formed,
        temperature_c=values["operation.temperature_c"],
        solution=read_solution(recipe, values, data, components, formed),
        surface=read_surface(values, reactions, components, deposited, metal_element, weights),
        make_up=make_up,
        replenishers=np.array(replenishers),
        deposited_g_mol=np.array([weights[element] for element in deposited]),
        metal=components.index(values["metal"]),
        reductant=components.index(values["reductant"]),
        metal_element=metal_element,
        ph=values["operation.ph"],
        dead_band=values["ph_control.dead_band_ph"],
        metal_fraction=values["replenishment.metal_trigger_pct"] / 100.0,
        correct_with_metal=values["ph_control.with_additions"],
        corrector_g_l=values["ph_control.corrector_g_l"],
        volume_l=values["tank.volume_l"],
        turnovers=values["limits.turnovers"],
    )


def read_tables(stem: str) -> dict:
    """The tables of a data file, which stand under one name."""
    return next(iter(tomllib.loads((DATA / f"{stem}.toml").read_text("utf-8")).values()))


def read_solution(recipe, values, data, components, formed) -> Solution:
    """The species with their constants."""
    parts = set().union(*(species["forms_from"] for species in formed.values()))
    active = [position for position, name in enumerate(components) if name in parts]
    unknowns = [components[position] for position in active] + ["proton"]
    stoichiometry = [
        [species["forms_from"].get(name, 0.0) for name in unknowns] for species in formed.values()
    ]
    forms = np.vstack([np.eye(len(unknowns)), np.array(stoichiometry, dtype=float)])
    of_component = {name: charge(entry["formula"]) for name, entry in data["components"].items()}
    of_unknown = np.array([of_component[name] for name in unknowns])
    charges = np.array([*of_unknown, *(charge(species["formula"]) for species in formed.values())])

    held_above = values["solution.davies_held_above_mol_l"]
    volumes = [data["volumes"].get(name, {}) for name in components]
    forms_of = [
        v.get("form_charge", of_component[n]) for n, v in zip(components, volumes, strict=True)
    ]
    volume = {
        "total_charge": np.array([of_component[name] for name in components]),
        "form_squares": np.array(forms_of) ** 2,
        "volume_a": np.array([v.get("a_cm3_mol", 0.0) for v in volumes]),
        "volume_b": np.array([v.get("b_cm3_kg05_mol15", 0.0) for v in volumes]),
        "hydroxide_a": data["volumes"]["hydroxide"]["a_cm3_mol"],
        "hydroxide_b": data["volumes"]["hydroxide"]["b_cm3_kg05_mol15"],
    }
    ln_k, slope_a = {}, {}
    for celsius in (values["operation.temperature_c"], REFERENCE_TEMPERATURE_C):
        ln_kw, slope_a[celsius] = water_constants(recipe, volume, celsius, held_above)
        ln_k[celsius] = np.array(
            [0.0 for _ in unknowns]
            + [ln_kw if "law" in s else formation_ln_k(s, celsius) for s in formed.values()]
        )
    hot = values["operation.temperature_c"]
    return Solution(
        active=np.array(active),
        forms=forms,
        charge=charges,
        square_change=forms @ of_unknown**2 - charges**2,
        inert_charge=np.array(
            [0.0 if at in active else of_component[name] for at, name in enumerate(components)]
        ),
        ln_k=ln_k[hot],
        ln_k_cooled=ln_k[REFERENCE_TEMPERATURE_C],
        slope_a=slope_a[hot],
        slope_a_cooled=slope_a[REFERENCE_TEMPERATURE_C],
        held_above=held_above,
        **volume,
    )


def chosen(species: dict, label: str | None) -> dict:
    """A species with the constant a recipe chose for it; an alternative is complete in itself."""
    if label is None:
        return species
    return {key: species[key] for key in ("formula", "forms_from")} | species["alternatives"][label]


def formation_ln_k(species: dict, celsius: float) -> float:
    """The constant-heat-capacity form about 25 degC."""
    ratio = (REFERENCE_TEMPERATURE_C + si.zero_Celsius) / (celsius + si.zero_Celsius)
    # An estimate stands in a table of its own, with its source.
    given = species["enthalpy_kj_mol"]
    enthalpy = (given["value"] if isinstance(given, dict) else given) * si.kilo
    enthalpy /= si.R * (REFERENCE_TEMPERATURE_C + si.zero_Celsius)
    heat_capacity = species.get("heat_capacity_j_mol_k", 0.0) / si.R
    return (
        species["log_k_25c"] * LN_10
        + enthalpy * (1.0 - ratio)
        + heat_capacity * (ratio - 1.0 - math.log(ratio))
    )


def water_constants(recipe, volume: dict, celsius: float, held_above: float) -> tuple[float, float]:
    """Ln K of hydroxide and the Debye-Hückel slope, from a bath made up at this temperature."""
    bath = recipe.with_value("operation.temperature_c", celsius, "the bench").make_up()
    water = water_kg_l(*volume.values(), np.array([total for _, total in bath.totals()]))
    free = {name: mol_l / water for name, mol_l in bath.species()}
    charge_function = bath.ph * LN_10 + math.log(free["proton"])
    ln_kw = math.log(free["hydroxide"] * free["proton"]) - 2.0 * charge_function
    return ln_kw, charge_function / (
        LN_10 * davies(min(bath.ionic_strength_mol_l / water, held_above))
    )


def davies(strength: float) -> float:
    """-log10 gamma of a single charge over the slope A."""
    return math.sqrt(strength) / (1.0 + math.sqrt(strength)) - 0.3 * strength


def read_surface(values, reactions, components, deposited, metal_element, weights) -> Surface:
    """The half-reactions and their laws at the bath temperature."""
    # The law of the metal first, the closing reaction last.
    order = sorted(reactions.values(), key=lambda r: ("closes" in r, "law" not in r))
    laws = [r.get("law", r.get("selectivity")) for r in order[:-1]]
    read = [read_law(values, law, components) for law in laws]
    evolved = sorted({atom for r in order for atom in children(r, "gas")})
    makes = np.array(
        [
            [children(r, side).get(name, 0.0) for r in order]
            for side, names in (("liquid", components), ("deposit", deposited), ("gas", evolved))
            for name in names
        ]
    )
    atoms = makes[len(components) : len(components) + len(deposited)]
    grams = atoms * np.array([[weights[element]] for element in deposited])
    assert values["deposit.density_scale"] == "area-table"
    return Surface(
        *(np.array(column) for column in zip(*read, strict=True)),
        electrons=np.array([r["electrons"] for r in order[:-1]]) / order[-1]["electrons"],
        makes=makes,
        grams=grams.sum(axis=0),
        metal_grams=grams[metal_element].copy(),
        area_m2_l=values["work.loading_dm2_l"] / DM2_PER_M2,
        thickness_um=values["work.thickness_um"],
        drag_out_l_m2=values["tank.drag_out_l_m2"],
    )


def read_law(values, law: str, components) -> tuple[float, float, np.ndarray, np.ndarray]:
    """ln of a law: constant, per pH, per ln of each total, per each total."""
    of = children(values, law)
    ln = math.log(of.get("rate_mol_m2_s", of.get("per_metal_mol")))
    if "activation_energy_kj_mol" in of:
        inverse = 1.0 / (values["operation.temperature_c"] + si.zero_Celsius)
        inverse -= 1.0 / (of["reference_temperature_c"] + si.zero_Celsius)
        ln -= of["activation_energy_kj_mol"] * si.kilo / si.R * inverse
    per_ph = of.get("ph_order", 0.0) * LN_10
    ln -= per_ph * of.get("reference_ph", 0.0)
    per_ln_total, per_total = np.zeros(len(components)), np.zeros(len(components))
    for name, exponent in children(of, "order").items():
        per_ln_total[components.index(name)] = exponent
        ln -= exponent * math.log(of[f"reference_mol_l.{name}"])
    for name, inhibition in children_of_children(of, "inhibition").items():
        assert inhibition["form"] == "exponential"
        per_total[components.index(name)] = (
            -inhibition.get("exponent", 1.0) / inhibition["constant_mol_l"]
        )
    return ln, per_ph, per_ln_total, per_total


def moles_of(amounts: dict, reagents: dict, weights: dict) -> dict[str, float]:
    """Components in a litre of reagents given in g/L."""
    moles: dict[str, float] = {}
    for key, amount in amounts.items():
        if key.endswith("_g_l"):
            reagent = reagents[key.removesuffix("_g_l")]
            molar_mass = sum(weights[a] * count for a, count in atoms(reagent["formula"]).items())
            for name, each in reagent["gives"].items():
                moles[name] = moles.get(name, 0.0) + each * amount / molar_mass
    return moles


def atoms(formula: str) -> dict[str, float]:
    """Atoms of a neutral formula: `Ni(H2PO2)2.6H2O`."""
    counts: dict[str, float] = {}
    for part in formula.split("."):
        many, body = re.fullmatch(r"(\d*)(.*)", part).groups()
        # Multiply parentheses out, then count.
        body = re.sub(r"\((\w+)\)(\d+)", lambda group: group[1] * int(group[2]), body)
        for symbol, count in re.findall(r"([A-Z][a-z]?)(\d*)", body):
            counts[symbol] = counts.get(symbol, 0.0) + int(many or 1) * int(count or 1)
    return counts


def charge(formula: str) -> float:
    """Charge of a formula: `+`, `-`, `+2`, `-3` at its end, or none."""
    sign, size = re.fullmatch(r"[^+-]*([+-]?)(\d*)", formula).groups()
    return float(f"{sign}{size or 1}") if sign else 0.0


def children(values: dict, table: str) -> dict:
    """The values below a table, by the rest of their path."""
    prefix = f"{table}."
    return {p.removeprefix(prefix): value for p, value in values.items() if p.startswith(prefix)}


def children_of_children(values: dict, table: str) -> dict[str, dict]:
    """The tables below a table."""
    below = children(values, table)
    return {name: children(below, name) for name in dict.fromkeys(p.split(".")[0] for p in below)}
