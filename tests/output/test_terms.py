"""Words of the trade on pages: every word of the glossary is known, in the plural too, and told with its meaning."""

import re

from filigree.guides.glossary import GLOSSARY
from filigree.output.terms import meanings_in, terms_html, terms_in


def test_every_word_of_the_glossary_is_found():
    for group in GLOSSARY.values():
        for term in group:
            assert terms_in(f"See the {term.word}.") == (term.word,)
            assert terms_in(f"{term.word.capitalize()} here") == (term.word,)


def test_plurals_and_longer_words():
    assert terms_in("Both plies and all bridges") == ("ply", "bridge")
    assert terms_in("The flesh side of the stack; the weakest section") == (
        "flesh side",
        "stack",
        "weakest section",
    )
    assert terms_in("Surface, pinch, escape, charm, apply") == ()


def test_a_row_names_each_word_once_and_is_tied_to_its_meaning():
    row = terms_html("A bridge <b> & a rim", "the bridges")
    assert len(re.findall('class="term"', row)) == 2
    tied = re.findall(r'aria-describedby="(means-\d+)"', row)
    assert tied == re.findall(r'role="tooltip" id="(means-\d+)"', row)
    for _, sentence in meanings_in("A bridge & a rim"):
        assert sentence in row
    assert terms_html("nothing of the trade") == ""
