"""What a page says, for tests of pages."""

from __future__ import annotations

import re
from html import unescape


def text_of(page: str) -> str:
    """Return what a page says, without its tags."""
    main = page.partition("<main")[2].partition("</main>")[0].partition(">")[2]
    bare = re.sub(r"<script.*?</script>", "", main, flags=re.DOTALL)
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", bare)).split())
