"""Pictures of executed cells: an alternative text, and a box that a phone can scroll."""

from __future__ import annotations

import re
from pathlib import Path

from docutils import nodes
from sphinx.application import Sphinx
from sphinx.transforms.post_transforms import SphinxPostTransform


class Pictures(SphinxPostTransform):
    """Says of each picture of a cell which section and which code it belongs to.

    Pictures of commands and of Markdown have a text of their own (`:alt:`).
    """

    default_priority = 600

    def run(self, **_options: object) -> None:
        """Goes through the pictures of a page."""
        for image in list(self.document.findall(nodes.image)):
            if Path(image.get("alt", "")).name == Path(image["uri"]).name or not image.get("alt"):
                image["alt"] = described(image)
            around = image.parent
            if isinstance(around, nodes.Element) and "picture" not in around.get("classes", []):
                box = nodes.container("", classes=["picture"])
                around.replace(image, box)
                box += image


def described(image: nodes.image) -> str:
    """The title of the section, and what stands in italics below the picture or the code above it."""
    section = parent_of(image, nodes.section)
    title = section.next_node(nodes.title).astext() if section else "Picture"
    cell = parent_of(image, nodes.container, "cell")
    if cell is None:
        return title
    following = cell.next_node(nodes.paragraph, descend=False, siblings=True)
    if following is not None and isinstance(following.children[0], nodes.emphasis):
        return f"{title}: {following.astext()}"
    code = [block.astext() for block in cell.findall(nodes.literal_block)]
    made_by = re.sub(r"\s+", " ", code[0].strip().splitlines()[-1]) if code else ""
    return f"{title}: picture made by {made_by}" if made_by else title


def parent_of(
    node: nodes.Node, kind: type[nodes.Element], name: str | None = None
) -> nodes.Element | None:
    """The nearest node of a kind, with a class, that holds another."""
    above = node.parent
    while above is not None:
        if isinstance(above, kind) and (name is None or name in above.get("classes", [])):
            return above
        above = above.parent
    return None


def setup(app: Sphinx) -> dict[str, bool]:
    """Adds the transform."""
    app.add_post_transform(Pictures)
    return {"parallel_read_safe": True, "parallel_write_safe": True}
