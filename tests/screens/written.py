"""Everything a page writes, of whatever kind: what a test of words looks through."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pandas as pd
from google.protobuf.json_format import MessageToDict
from streamlit.testing.v1 import AppTest


def written(test: AppTest, *, but: str = "") -> list[str]:
    """All texts of a page: labels, helps, headings, cells, alternatives of figures.

    Parameters
    ----------
    but
        Label of an expander whose contents are left out.
    """
    return [text for root in (test.main, test.sidebar) for text in _of_node(root, but)]


def _of_node(node: Any, but: str) -> Iterator[str]:
    proto = getattr(node, "proto", None)
    if but and getattr(node, "label", None) == but:
        return
    if proto is not None:
        yield from _texts(MessageToDict(proto))
    value = (
        getattr(node, "value", None) if getattr(node, "type", "") in ("arrow_data_frame", "table") else None
    )
    if isinstance(value, pd.DataFrame):
        yield from map(str, value.columns)
        yield from (str(cell) for row in value.itertuples(index=False) for cell in row)
    for child in getattr(node, "children", {}).values():
        yield from _of_node(child, but)


def _texts(value: object, name: str = "") -> Iterator[str]:
    """The strings in a message, without keys, ids and bytes of tables."""
    if isinstance(value, dict):
        for key, inner in value.items():
            if key not in (
                "id",
                "arrowData",
                "data",
                "icon",
                "hash",
                "url",
                "formId",
                "cssContent",
                "jsContent",
            ):
                yield from _texts(inner, key)
    elif isinstance(value, list):
        for inner in value:
            yield from _texts(inner, name)
    elif isinstance(value, str):
        yield value


def tables(test: AppTest) -> Iterator[tuple[str, list[str]]]:
    """The columns of a page's tables for reading, not those of editors: heading and cells."""
    for kind in (test.dataframe, test.table):
        for element in kind:
            value = element.value
            editor = getattr(element.proto, "editing_mode", 0)
            if isinstance(value, pd.DataFrame) and not editor:
                yield from ((str(name), [str(cell) for cell in value[name]]) for name in value.columns)
