"""Bring the truth of a development set (workbook and text files) into the shape `comparison` compares."""

import csv
import io
import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from tests.books.canvas import letter


def devset_books(folder: Path) -> Iterator[tuple[Path, dict[str, Any]]]:
    """Yield every book of the folder with its truth."""
    for truth_file in sorted((folder / "books_truth").glob("*.truth.json")):
        book = folder / "books" / truth_file.name.removesuffix(".truth.json")
        truth = json.loads(truth_file.read_text(encoding="utf-8"))
        if truth["kind"] == "csv":
            truth = _lots_file(truth)
        elif truth["kind"] == "scores_long_csv":
            truth = _score_file(truth, book)
        yield book, truth


def _lots_file(truth: dict[str, Any]) -> dict[str, Any]:
    places = {column["header"]: letter(n) for n, column in enumerate(truth["columns"], start=1)}
    fields = {column["field"]: letter(n) for n, column in enumerate(truth["columns"], start=1)}
    columns = {places[column["header"]]: column for column in truth["columns"]}
    lots = [
        {**lot, "sheet": None, "row": lot["line"], "cells": _raw_cells(lot, fields)} for lot in truth["lots"]
    ]
    problems = [
        {**p, "sheet": None, "cell": f"{places[p['column']]}{p['record'] + truth['header_line']}"}
        for p in truth["problems"]
    ]
    sheets = [{"name": None, "role": "lots", "columns": columns}]
    return {"file": truth["file"], "kind": "csv", "lots": lots, "problems": problems, "sheets": sheets}


def _raw_cells(lot: dict[str, Any], fields: dict[str, str]) -> dict[str, dict[str, Any]]:
    return {
        name: {"cell": f"{fields[name]}{lot['line']}", "raw": raw} for name, raw in lot["raw"].items() if raw
    }


def _score_file(truth: dict[str, Any], book: Path) -> dict[str, Any]:
    rows = list(csv.DictReader(io.StringIO(book.read_text(encoding="utf-8"))))
    scores = []
    for number, row in enumerate(rows, start=2):
        raw = row["score"] or None
        score = {
            "sheet": None,
            "row": number,
            "cell": f"E{number}",
            "taster": row["taster"],
            "sample": row["lot"],
        }
        score |= {"attribute": row["attribute"], "replicate": int(row["replicate"]), "raw": raw}
        status = {"status": "ok", "value": float(raw)} if raw else {"status": "missing", "value": None}
        scores.append(score | status)
    fields = ("sample", "taster", "attribute", "replicate", "score")
    columns = {letter(n): {"header": name, "field": name} for n, name in enumerate(fields, start=1)}
    return {
        "file": truth["file"],
        "kind": "csv",
        "scores": scores,
        "sheets": [{"name": None, "columns": columns}],
    }
