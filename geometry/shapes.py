"""The kinds of shape that a piece can have: one module each, and one line here."""

from geometry.box import Box as Box
from geometry.box import DrainHole as DrainHole
from geometry.compound import Compound as Compound
from geometry.compound import Placed as Placed
from geometry.cutouts import CircleCutout as CircleCutout
from geometry.cutouts import Cutout as Cutout
from geometry.cutouts import EllipseCutout as EllipseCutout
from geometry.cutouts import OutlineCutout as OutlineCutout
from geometry.cutouts import RectangleCutout as RectangleCutout
from geometry.extrusion import Extrusion as Extrusion
from geometry.mesh import MeshBody as MeshBody
from geometry.mesh import Opening as Opening
from geometry.outline import Outline as Outline
from geometry.panel import Panel as Panel
from geometry.panel import PanelOpening as PanelOpening
from geometry.panel import PanelSide as PanelSide
from geometry.panel import Return as Return
from geometry.panel import Ribs as Ribs
from geometry.plan_edges import EdgePart as EdgePart
from geometry.plan_edges import Side as Side
from geometry.plate import DropEdge as DropEdge
from geometry.plate import EdgeProfile as EdgeProfile
from geometry.revolution import Revolution as Revolution
from geometry.shape import Shape as Shape
from geometry.slab import Slab as Slab
from geometry.taper import Taper as Taper
