"""The directive `bathkin`: a command of the library, run at build, with what it prints.

    ```{bathkin} rate nickel-acid --vary operation.ph=4.2:5.4:7 --plot sweep.svg
    :picture: sweep.svg
    :alt: rate over pH
    :lines: 12
    ```

`lines` shows the first lines alone, `only-picture` nothing but the picture; `exit` is the exit code that is expected (0).
"""

from __future__ import annotations

import contextlib
import io
import os
import shlex
import tempfile
from pathlib import Path
from typing import Any, ClassVar

from bathkin import cli
from docutils import nodes
from docutils.parsers.rst import Directive, directives
from sphinx.application import Sphinx
from sphinx.util.docutils import SphinxDirective

ROOT = Path(__file__).parents[2]


def run(command: str, folder: Path) -> tuple[int, str]:
    """Exit code and output of a command, run where the folders of the repository can be read."""
    for name in ("benches", "shared"):
        if not (folder / name).exists():
            (folder / name).symlink_to(ROOT / name)
    said = io.StringIO()
    before = Path.cwd()
    os.chdir(folder)
    try:
        with contextlib.redirect_stdout(said), contextlib.redirect_stderr(said):
            code = cli.run(shlex.split(command))
    finally:
        os.chdir(before)
    return code, said.getvalue()


class Command(SphinxDirective):
    """A command with its output, and the picture it wrote."""

    required_arguments = 1
    final_argument_whitespace = True
    has_content = False
    option_spec: ClassVar[dict[str, Any]] = {
        "picture": directives.unchanged,
        "alt": directives.unchanged,
        "lines": directives.positive_int,
        "exit": directives.nonnegative_int,
        "only-picture": directives.flag,
    }

    def run(self) -> list[nodes.Node]:
        """Nodes of the page."""
        command = " ".join(self.arguments[0].split())
        with tempfile.TemporaryDirectory() as place:
            code, said = run(command, Path(place))
            expected = self.options.get("exit", 0)
            if code != expected:
                raise self.error(f"`bathkin {command}` ended with {code}, not {expected}: {said}")
            found: list[nodes.Node] = []
            if "only-picture" not in self.options:
                found += [
                    literal(f"$ bathkin {command}", "console"),
                    literal(self.shown(said), "text"),
                ]
            if "picture" in self.options:
                found.append(self.picture(Path(place) / self.options["picture"]))
        return found

    def shown(self, said: str) -> str:
        """The first lines, or all."""
        lines = said.rstrip().split("\n")
        count = self.options.get("lines", len(lines))
        return "\n".join([*lines[:count], *(["..."] if len(lines) > count else [])])

    def picture(self, written: Path) -> nodes.Node:
        """The picture that the command wrote, kept among the generated files."""
        if "alt" not in self.options:
            raise self.error("a picture needs `:alt:`, what it shows in words")
        page = self.env.docname.replace("/", "-")
        kept = Path(self.env.srcdir) / "_generated" / "pictures" / f"{page}-{written.name}"
        kept.parent.mkdir(parents=True, exist_ok=True)
        kept.write_bytes(written.read_bytes())
        away = os.path.relpath(kept, Path(self.env.doc2path(self.env.docname)).parent)
        return nodes.image(uri=away, alt=self.options["alt"])


def literal(text: str, language: str) -> nodes.literal_block:
    """A block of text as it stands."""
    block = nodes.literal_block(text, text)
    block["language"] = language
    return block


def setup(app: Sphinx) -> dict[str, bool]:
    """Adds the directive."""
    directive: type[Directive] = Command
    app.add_directive("bathkin", directive)
    return {"parallel_read_safe": False}
