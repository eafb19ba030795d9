"""Terms: the words of the trade that stand on a page, each with what it means while it is pointed at or in focus.

Works without script; with `terms.js` Escape puts a meaning away and none runs off the page (WCAG 2.2, 1.4.13).
"""

import re
from functools import cache
from pathlib import Path
from typing import Final

from filigree.guides.glossary import GLOSSARY
from filigree.output.markup import escaped

MEANS: Final = {term.word: term.means for group in GLOSSARY.values() for term in group}
STYLE: Final = """
.terms { font-size: .9375rem; }
.termed { position: relative; display: inline-block; }
.term { border-bottom: 2px dotted; cursor: help; padding: .2rem .1rem; }
.meaning { display: none; position: absolute; left: 0; top: 100%; z-index: 5; width: max-content; max-width: 17rem; padding: .5rem .7rem;
  color: #fbfcf9; background: #1d211d; border: 1px solid #fbfcf9; border-radius: 6px; translate: var(--aside, 0) 0; }
.termed:hover > .meaning, .term:focus + .meaning { display: block; }
.termed.away > .meaning { display: none; }
@media print { .terms { display: none; } }
"""


def terms_in(*texts: str) -> tuple[str, ...]:
    """Give the words of the glossary that stand in some texts, as they come.

    >>> terms_in("Widen the bridges between two openings.", "The rim is wide enough; bridge 2 as well.")
    ('bridge', 'opening', 'rim')
    """
    found = (_of(match[1]) for text in texts for match in _pattern().finditer(text))
    return tuple(dict.fromkeys(found))


def meanings_in(*texts: str) -> tuple[tuple[str, str], ...]:
    """Give the same words, each with a sentence that says what it means."""
    return tuple((word, _sentence(word)) for word in terms_in(*texts))


def terms_html(*texts: str) -> str:
    """Write a row of the words that stand in some texts, "" where none does."""
    rows = [
        f'<span class="termed"><span class="term" tabindex="0" aria-describedby="means-{k}">'
        f'{escaped(word)}</span><span class="meaning" role="tooltip" id="means-{k}">'
        f"{escaped(sentence)}</span></span>"
        for k, (word, sentence) in enumerate(meanings_in(*texts))
    ]
    return f'<p class="terms">Words of the trade: {", ".join(rows)}.</p>' if rows else ""


def terms_script() -> str:
    """Give the script that puts meanings away and keeps them on the page."""
    return Path(__file__).with_name("terms.js").read_text(encoding="utf-8")


def _sentence(word: str) -> str:
    means = MEANS[word]
    return f"{word[0].upper()}{word[1:]}: {means}."


@cache
def _pattern() -> re.Pattern[str]:
    """Match any word of the glossary, the longest first, in the plural too."""
    words = sorted((w[:-1] + "(?:y|ies)" if w.endswith("y") else w for w in MEANS), key=len)
    return re.compile(rf"\b({'|'.join(words[::-1])})(?:s|es|d|ed|ing)?\b", re.IGNORECASE)


def _of(found: str) -> str:
    low = found.lower()
    return low if low in MEANS else low.removesuffix("ies") + "y"
