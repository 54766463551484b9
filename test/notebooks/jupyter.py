"""Runs one notebook through a Jupyter client and a real kernel process.

    python3 jupyter.py notebook.ipynb      (JUPYTER_PATH names the folder with the kernel)

Prints {"ok": ..., "cells": [outputs of each code cell]} as JSON.
"""

import json
import pathlib
import sys

import nbformat
from nbclient import NotebookClient
from nbclient.exceptions import CellExecutionError

path = pathlib.Path(sys.argv[1])
notebook = nbformat.read(path, as_version=4)
code = [cell for cell in notebook.cells if cell.cell_type == "code"]
for cell in code:
    cell.outputs = []
client = NotebookClient(
    notebook,
    timeout=120,
    record_timing=False,
    resources={"metadata": {"path": str(path.parent)}},
)
ok = True
try:
    client.execute()
except CellExecutionError:
    ok = False
ran = [cell for cell in code if cell.get("execution_count") is not None]
print(json.dumps({"ok": ok, "cells": [cell.outputs for cell in (code if ok else ran)]}))
