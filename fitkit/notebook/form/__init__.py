"""The payload sheet as a form: its fields, what is typed into them, and the sheet on disk."""

from fitkit.notebook.form.measure import Measure
from fitkit.notebook.form.sheet_form import SheetForm
from fitkit.notebook.form.widget import Form

__all__ = ["Form", "Measure", "SheetForm"]
