"""The colours of page and charts, by role.

The hues are those of M. Okabe and K. Ito, "Color Universal Design" (2008), which people with the common forms
of colour blindness can tell apart: blue #0072B2, vermillion #D55E00, green #009E73 on light paper; sky blue
#56B4E9, orange #E69F00, green on dark. The greys are this page's own. No verdict is carried by colour alone.

Charts are drawn in the light colours, each role in its own, so that a drawn colour can be turned back into
its role and follow the reader's light or dark scheme. To add a role: one line in ``LIGHT`` and one in
``DARK``; the test of contrast names the ground that it has to stand out from.
"""

from __future__ import annotations

from typing import Literal, get_args

__all__ = ["DARK", "LIGHT", "Role", "css"]

Role = Literal["paper", "band", "rule", "soft", "ink", "link", "work", "rest", "over", "call", "note"]

LIGHT: dict[Role, str] = {
    "paper": "#fdfcfa",
    "band": "#f3f0ea",
    "rule": "#d9d4ca",
    "soft": "#5b5852",
    "ink": "#1b1a18",
    "link": "#00588a",
    "work": "#0072b2",
    "rest": "#86827a",
    "over": "#d55e00",
    "call": "#008a64",
    "note": "#fff4cf",
}
"""On light paper. Link and call are Okabe and Ito's blue and green, darkened for text and for thin marks."""
DARK: dict[Role, str] = {
    "paper": "#161718",
    "band": "#212325",
    "rule": "#3d3f42",
    "soft": "#aaa69d",
    "ink": "#ebe8e1",
    "link": "#7cc5ef",
    "work": "#56b4e9",
    "rest": "#85827c",
    "over": "#e69f00",
    "call": "#00b884",
    "note": "#3a3421",
}


def css() -> str:
    """Custom properties for both schemes; paper is always light.

    >>> css().startswith(":root{color-scheme:light dark;--paper:#fdfcfa;")
    True
    """
    roles: tuple[Role, ...] = get_args(Role)
    light = "".join(f"--{role}:{LIGHT[role]};" for role in roles)
    dark = "".join(f"--{role}:{DARK[role]};" for role in roles)
    return (
        f":root{{color-scheme:light dark;{light}}}\n"
        f"@media screen and (prefers-color-scheme:dark){{:root{{{dark}}}}}\n"
        + "".join(f".f-{role}{{fill:var(--{role})}}.s-{role}{{stroke:var(--{role})}}\n" for role in roles)
    )
