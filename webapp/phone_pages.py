"""Which pages a phone keeps for the day without signal, and which of them card only shuts.

Knows addresses only.
"""

FOOT = (("/bucket", "Bucket"), ("/card", "Card"), ("/fits", "What fits"), ("/practice", "Practice"), ("/more", "More"))
KEPT = (
    *(address for address, _ in FOOT),
    *("/bag", "/settings", "/yardage", "/fits/leave", "/conditions", "/round", "/round/notes", "/visits/last"),
    *("/eye-check", "/refused", "/homework"),
)
SHUT_BY_CARD_ONLY = ("/fits", "/fits/leave", "/yardage", "/conditions")
