"""Who imports whom: rooms without circles, one circle of nouns, small files."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import bathkin as bk

HOME = Path(bk.__file__).parent
LONGEST = 400
# A recipe makes baths, lives and plans, and each of them names its recipe or bath: DEVELOPERS.md.
NOUNS = {
    "bath.bath",
    "bath.curves",
    "bath.distribution",
    "bath.over_ph",
    "bath.polarisation",
    "bath.sensitivities",
    "bath.titration",
    "life.life",
    "life.plan",
    "life.sensitivity",
    "recipe.recipe",
}

Graph = dict[str, set[str]]


def modules() -> dict[str, ast.Module]:
    """Every module of the package by its name below `bathkin`; the package itself is empty."""
    found = {}
    for file in HOME.rglob("*.py"):
        parts = file.relative_to(HOME).with_suffix("").parts
        name = ".".join(part for part in parts if part != "__init__")
        found[name] = ast.parse(file.read_text(encoding="utf-8"))
    return found


def statements(tree: ast.Module, at_run_time: bool) -> Iterator[ast.AST]:
    """Statements of a module: all of them, or those that run when it is imported."""
    if not at_run_time:
        yield from ast.walk(tree)
        return
    for one in tree.body:
        if not (isinstance(one, ast.If) and "TYPE_CHECKING" in ast.unparse(one.test)):
            yield one


def imports(at_run_time: bool) -> Graph:
    trees = modules()
    graph: Graph = {name: set() for name in trees}
    for name, tree in trees.items():
        for one in statements(tree, at_run_time):
            if isinstance(one, ast.Import):
                assert not any(each.name.startswith("bathkin") for each in one.names), name
            if not isinstance(one, ast.ImportFrom):
                continue
            assert one.level == 0, f"{name}: imports are absolute"
            if one.module is None or one.module.split(".")[0] != "bathkin":
                continue
            within = one.module.removeprefix("bathkin").removeprefix(".")
            for each in one.names:
                inner = f"{within}.{each.name}".removeprefix(".")
                target = inner if inner in trees else within
                if inner != "_core":
                    graph[name].add(target)
    return graph


def rooms(graph: Graph) -> Graph:
    """The same for the folders."""
    found: Graph = {}
    for name, targets in graph.items():
        room = name.split(".")[0]
        found.setdefault(room, set()).update(target.split(".")[0] for target in targets)
    return {room: targets - {room} for room, targets in found.items()}


def circles(graph: Graph) -> list[set[str]]:
    """Strongly connected components of more than one module, by Tarjan's algorithm."""
    place: dict[str, int] = {}
    lowest: dict[str, int] = {}
    stack: list[str] = []
    found: list[set[str]] = []

    def visit(name: str) -> None:
        place[name] = lowest[name] = len(place)
        stack.append(name)
        for target in graph[name]:
            if target not in place:
                visit(target)
                lowest[name] = min(lowest[name], lowest[target])
            elif target in stack:
                lowest[name] = min(lowest[name], place[target])
        if lowest[name] == place[name]:
            at = stack.index(name)
            component = set(stack[at:])
            del stack[at:]
            if len(component) > 1:
                found.append(component)

    for name in graph:
        if name not in place:
            visit(name)
    return found


def test_circles_are_found() -> None:
    graph = {"a": {"b"}, "b": {"c"}, "c": {"b", "d"}, "d": set(), "e": {"e", "a"}}
    assert circles(graph) == [{"b", "c"}]


def test_no_module_or_room_imports_in_a_circle_at_run_time() -> None:
    graph = imports(at_run_time=True)
    assert "recipe.recipe" in graph["life.life"]
    assert circles(graph) == []
    assert circles(rooms(graph)) == []


def test_the_only_circle_of_names_is_that_of_the_nouns() -> None:
    assert circles(imports(at_run_time=False)) == [NOUNS]


def test_files_are_small() -> None:
    places = (HOME, Path(__file__).parent)
    lengths = {
        file: len(file.read_text(encoding="utf-8").splitlines())
        for place in places
        for file in place.rglob("*.py")
        # What is written from the structs of the core is as long as they are.
        if file.name != "results.py"
    }
    assert len(lengths) > 100
    assert {file for file, length in lengths.items() if length > LONGEST} == set()
