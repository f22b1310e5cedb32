"""Makes the app's pictures for home screens out of icon.svg: `python -m tests.browser.icons`.

Knows the three sizes that the manifest names; a launcher may cut a maskable one down to its inner four fifths.
"""

from playwright.sync_api import sync_playwright

from .chromium import chromium_options
from .server import ROOT

ICONS = ROOT / "static" / "icons"
SIZES = {"icon-192": 192, "icon-512": 512, "maskable-512": 512}


def make() -> None:
    """Draw each of them in Chromium, transparent round the corners where they are rounded."""
    drawing = (ICONS / "icon.svg").read_text()
    whole = drawing.replace(' rx="14"', "").replace(
        '<g fill="none"', '<g transform="translate(7 7) scale(.78)"><g fill="none"'
    )
    with sync_playwright() as driver:
        browser = driver.chromium.launch(**chromium_options())
        for name, size in SIZES.items():
            page = browser.new_page(viewport={"width": size, "height": size})
            shown = whole.replace("</svg>", "</g></svg>") if name.startswith("maskable") else drawing
            page.set_content(f'<body style="margin: 0">{shown.replace("<svg", "<svg style=display:block", 1)}')
            page.screenshot(path=ICONS / f"{name}.png", omit_background=True)
        browser.close()


if __name__ == "__main__":
    make()
