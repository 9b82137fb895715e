"""The README as an index of packages shows it: links and pictures of the repository as plain text.

hatchling runs this when it builds. Nothing in an index answers to a path such as gallery/page.png.
"""

from __future__ import annotations

import re
from pathlib import Path

from hatchling.metadata.plugin.interface import MetadataHookInterface

_PICTURE = re.compile(r"!\[([^\]]*)\]\((?!https?:)[^)]*\)")
_LINK = re.compile(r"(?<!!)\[([^\]]*)\]\((?!https?:|#)([^)]*)\)")


def readme(text: str) -> str:
    """``text`` with pictures as their words, and links to files as their words and the file."""
    text = _PICTURE.sub(r"*Picture: \1.*", text)
    return _LINK.sub(
        lambda link: link[1] if link[1] == link[2] else f"{link[1]} (`{link[2]}`)", text
    )


class ReadmeHook(MetadataHookInterface):
    """Puts the README into the metadata."""

    def update(self, metadata: dict[str, object]) -> None:
        """Set the metadata's ``readme``."""
        text = (Path(self.root) / "README.md").read_text("utf-8")
        metadata["readme"] = {"content-type": "text/markdown", "text": readme(text)}
