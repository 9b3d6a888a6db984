"""What the files beside the sources say of the project is so."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
from typing import Any

import bathkin as bk
import pytest
from support import ROOT

tomllib = pytest.importorskip("tomllib")


def read(name: str) -> dict[str, Any]:
    return tomllib.loads((ROOT / name).read_text(encoding="utf-8"))


def allowed(expression: str, allow: set[str]) -> bool:
    """Whether an expression holds with the licences that are allowed; `/` is the old `OR`."""
    text = expression.replace("/", " OR ")
    words = re.findall(r"\(|\)|[^\s()]+(?: WITH [^\s()]+)?", text)
    python = " ".join(
        word if word in "()" else word.lower() if word in ("AND", "OR") else str(word in allow)
        for word in words
    )
    return bool(eval(python, {"__builtins__": {}}))


def test_licence_expressions() -> None:
    allow = {"MIT", "BSD-3-Clause", "Apache-2.0 WITH LLVM-exception"}
    for expression in (
        "MIT/Apache-2.0",
        "(X OR MIT) AND BSD-3-Clause",
        "Apache-2.0 WITH LLVM-exception",
    ):
        assert allowed(expression, allow)
    for expression in ("Apache-2.0", "MIT AND X", "(MIT OR X) AND Y"):
        assert not allowed(expression, allow)


@pytest.mark.skipif(not shutil.which("cargo"), reason="needs cargo")
def test_every_crate_has_a_licence_that_is_allowed() -> None:
    asked = ["cargo", "metadata", "--locked", "--format-version", "1"]
    found = subprocess.run(asked, cwd=ROOT, capture_output=True, text=True, check=True).stdout
    rules = read("deny.toml")["licenses"]
    told = {one["crate"]: one["expression"] for one in rules["clarify"]}
    packages = [one for one in json.loads(found)["packages"] if one["source"]]
    assert len(packages) > 100
    refused = {
        one["name"]: one["license"]
        for one in packages
        if not allowed(one["license"] or told.get(one["name"], "none"), set(rules["allow"]))
    }
    assert refused == {}


def test_the_citation_names_this_version() -> None:
    citation = (ROOT / "CITATION.cff").read_text(encoding="utf-8")
    assert f"\nversion: {bk.__version__}\n" in citation
    assert f"\n## {bk.__version__}" in (ROOT / "CHANGELOG.md").read_text(encoding="utf-8")


def test_the_oldest_versions_that_are_tested_are_those_that_are_asked_for() -> None:
    workflow = (ROOT / ".ci" / "wheels.yml").read_text(encoding="utf-8")
    for dependency in read("pyproject.toml")["project"]["dependencies"]:
        name, oldest = dependency.split(">=")
        assert f'"{name}=={oldest}.*"' in workflow
