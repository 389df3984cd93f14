"""The 3D view of a study as a piece of a page: everything inlined, nothing fetched, nothing measured on it."""

from fitcheck.report.model3d.model import Body, Build, Model, Place, Shown, Stretch, Told
from fitcheck.report.model3d.page import Fragment, fragment
from fitcheck.report.model3d.read import model_of

__all__ = ["Body", "Build", "Fragment", "Model", "Place", "Shown", "Stretch", "Told", "fragment", "model_of"]
