"""Samples for ArviZ, of either kind of version."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from bathkin.errors import BathkinError

if TYPE_CHECKING:
    from collections.abc import Mapping

    import numpy as np
    from numpy.typing import NDArray

NEEDED = "samples need the extra bayes: pip install 'bathkin[bayes]'"


def inference_data(
    posterior: Mapping[str, NDArray[np.float64]], sample_stats: Mapping[str, NDArray[np.float64]]
) -> Any:
    """Samples as ArviZ takes them; arrays by chain and draw.

    Raises:
        BathkinError: Without ArviZ.
    """
    try:
        import arviz
    except ImportError as error:
        raise BathkinError(NEEDED) from error
    groups: dict[str, Any] = {"posterior": dict(posterior), "sample_stats": dict(sample_stats)}
    # From version 1 on the groups are one argument.
    if int(arviz.__version__.partition(".")[0]) >= 1:
        return arviz.from_dict(groups)
    return arviz.from_dict(**groups)
