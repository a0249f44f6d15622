"""The notebook of examples/ runs from top to bottom and makes its report."""

from pathlib import Path

import pytest

NOTEBOOK = Path("examples/condition_report.ipynb")


def test_the_notebook_goes_from_a_folder_to_a_report():
    pytest.importorskip("nbclient")
    import nbformat
    from nbclient import NotebookClient

    notebook = nbformat.read(NOTEBOOK, as_version=4)
    nbformat.validate(notebook)
    assert all(not cell.get("outputs") for cell in notebook.cells), "kept without outputs"
    NotebookClient(notebook, timeout=120, resources={"metadata": {"path": "examples"}}).execute()
    outputs = [output for cell in notebook.cells for output in cell.get("outputs", [])]
    kinds = {kind for output in outputs for kind in output.get("data", {})}
    assert "image/svg+xml" in kinds and "text/html" in kinds
    said = "".join(output.get("text", "") for output in outputs)
    assert "condition-report.html" in said and "condition-report.docx" in said
