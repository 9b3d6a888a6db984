"""The documentation site: `make docs` builds it into `site/`.

What the library can say of itself (reference, command line, baths, constants) is written into
`docs/_generated/` by `docs/_sphinx/` before the pages are read; nothing there is typed by hand.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path

import bathkin
from sphinx.application import Sphinx

HERE = Path(__file__).parent
ROOT = HERE.parent
MATHJAX = ROOT / "out" / "mathjax"

sys.path.insert(0, str(HERE / "_sphinx"))

project = "bathkin"
author = "the bathkin developers"
copyright = "the bathkin developers, MIT or Apache-2.0"
release = version = bathkin.__version__

extensions = [
    "myst_nb",
    "sphinx.ext.autodoc",
    "sphinx.ext.napoleon",
    "sphinx.ext.mathjax",
    "sphinx_design",
    "sphinx_copybutton",
    "commands",
    "pictures",
]
exclude_patterns = ["_sphinx", "_static", "**.ipynb_checkpoints"]
suppress_warnings = ["mystnb.unknown_mime_type"]

# Headings of three levels can be linked to; pages link to sources, which are downloads.
myst_enable_extensions = ["dollarmath", "amsmath", "colon_fence", "deflist"]
myst_heading_anchors = 3

# Notebooks and pages with cells run at the first build; later ones take what the cache holds.
nb_execution_mode = "cache"
nb_execution_cache_path = str(ROOT / "out" / "notebooks")
nb_execution_timeout = 300
nb_execution_raise_on_error = True
nb_execution_show_tb = True
nb_merge_streams = True
nb_render_markdown_format = "myst"
# A slider needs a kernel: a page has none, and its scripts would come from an outside host.
nb_ipywidgets_js = {}

autodoc_typehints = "signature"
autodoc_member_order = "bysource"
autodoc_class_signature = "mixed"
napoleon_google_docstring = True
napoleon_numpy_docstring = False
napoleon_use_ivar = True
# Docstrings set names between single backticks.
default_role = "code"

mathjax_path = "mathjax/tex-mml-chtml.js"
mathjax3_config = {"tex": {"inlineMath": [["\\(", "\\)"]], "displayMath": [["\\[", "\\]"]]}}

html_theme = "pydata_sphinx_theme"
html_title = "bathkin"
html_static_path = ["_static", str(MATHJAX)]
html_css_files = ["site.css"]
html_js_files = ["tables.js"]
html_copy_source = False
html_show_sourcelink = False
# A page without pages beside it needs no list of them.
html_sidebars = {"index": [], "gallery": []}
# Quotes are copied into commands: they stay straight.
smartquotes_action = "D"
html_theme_options = {
    "navbar_align": "left",
    "navigation_with_keys": False,
    "use_edit_page_button": False,
    "show_toc_level": 2,
    "header_links_before_dropdown": 8,
    "footer_start": ["copyright"],
    "footer_end": [],
    "logo": {"text": "bathkin"},
    "pygments_light_style": "tango",
    "pygments_dark_style": "monokai",
}
copybutton_prompt_text = r">>> |\.\.\. |\$ "
copybutton_prompt_is_regexp = True

linkcheck_ignore = [r"https?://"]


# In the kernels of pages: pictures are SVG, so that their text is read at any width, and a warning
# has no file of the kernel in it.
STARTUP = """
import warnings

from bathkin.plots.picture import rendered

get_ipython().display_formatter.formatters["image/svg+xml"].for_type_by_name(
    "bathkin.plots.picture", "Picture", lambda picture: rendered(picture, "svg").decode()
)
warnings.formatwarning = (
    lambda message, category, *_place, **_more: f"{category.__name__}: {message}\\n"
)
"""


def kernel_settings() -> None:
    """Writes the profile that the kernels of executed pages start with."""
    profile = ROOT / "out" / "ipython" / "profile_default"
    (profile / "startup").mkdir(parents=True, exist_ok=True)
    settings = (
        "c.InlineBackend.figure_formats = {'svg'}\n"
        "c.HistoryManager.enabled = False\n"
        # That a kernel talks over TCP on this machine is no news of a build.
        "c.IPKernelApp.log_level = 40\n"
    )
    (profile / "ipython_kernel_config.py").write_text(settings, encoding="utf-8")
    (profile / "startup" / "pages.py").write_text(STARTUP, encoding="utf-8")
    os.environ["IPYTHONDIR"] = str(profile.parent)


def setup(app: Sphinx) -> None:
    """Writes what is generated before the pages are listed."""
    import generate

    if not (MATHJAX / "mathjax").is_dir():
        raise SystemExit(f"{MATHJAX}/mathjax is not there: `make docs` fetches it with npm")
    kernel_settings()
    generate.write(HERE / "_generated")
