"""What a touch on the phone goes by: how long a ball can be moved, the patch's scale, the step of an entry.

Knows no page and no ball; static/rules/ reads these numbers from rule_constants.py.
"""

from .facts import CONTACTS

FRESH_MS = 4000  # nobody hits two wedges in four seconds, so a second touch within them is a correction
KEPT_MS = 24 * 3600 * 1000  # a phone holds a fact for a day at least: pages replay buckets that may have ended by then
GO_ON_MS = 10 * 60 * 1000  # for so long after its end a bucket can be gone on with
OFFER_MS = 10_000  # a question about the last ball goes away by itself: skipping it costs nothing
COVER_MS = 90_000  # without a touch for so long the patch is covered
CHECK_EVERY = 10  # one ball in ten asks whether it was that swing

LANES = tuple(contact for contact in CONTACTS if contact != "shank")
RAIN_LANES = ("heavy", "clean", "thin")
RAIN_SHARE = {"short": 0.88, "in": 1.0, "long": 1.12}  # of the meant carry; our choice, no source

# The step of an entry in whole units by how the carry is judged; the same in every unit of length.
STEPS = {"eye": 5, "markers": 5, "laser": 2, "monitor": 1}

# The ground: one scale for all lanes. The meant carry's share below and above it fills the lower seven eighths; the
# last eighth, above a marked break, is compressed up to 1.8 times the meant carry for balls that flew on.
SCALE_BELOW = 0.45
SCALE_ABOVE = 0.30
SCALE_MAIN = 7 / 8  # of the ground's height
SCALE_FAR = 1.8
GUTTER_PX = 30  # at the left, for the lines' figures
NAMES_PX = 48  # the band of the lanes' names, which explains and notes nothing
BEYOND_PX = 40  # "way over" and "way short", once each across all lanes
LEAST_GAP_PX = 26  # between two lines, so that their figures do not touch
