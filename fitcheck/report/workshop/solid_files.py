"""Solids as STL and 3MF, both in mm and free of dates, so that equal solids are equal files."""

from __future__ import annotations

import io
import struct
import zipfile
from typing import TYPE_CHECKING
from xml.sax.saxutils import quoteattr

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Points = NDArray[np.float64]
    Faces = NDArray[np.int64]

_STL_HEADER = b"millimetres"
_FIXED_DATE = (1980, 1, 1, 0, 0, 0)

_TYPES = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">'
    '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
    '<Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/></Types>\n'
)
_RELATIONS = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">'
    '<Relationship Target="/3D/3dmodel.model" Id="model" '
    'Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/></Relationships>\n'
)


def stl(vertices: Points, faces: Faces) -> bytes:
    """Binary STL. The format has no unit: the numbers are mm, and the file's header says so."""
    import numpy as np

    corners = vertices[faces]
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    lengths = np.linalg.norm(normals, axis=1, keepdims=True)
    normals = np.divide(normals, lengths, out=np.zeros_like(normals), where=lengths > 0.0)
    rows = np.zeros(len(faces), dtype=[("numbers", "<f4", (12,)), ("spare", "<u2")])
    rows["numbers"] = np.hstack((normals, corners.reshape(-1, 9)))
    return _STL_HEADER.ljust(80) + struct.pack("<I", len(faces)) + rows.tobytes()


def threemf(vertices: Points, faces: Faces, name: str) -> bytes:
    """3MF with one object, its unit stated as millimeter."""
    points = "".join(f'<vertex x="{x:.6f}" y="{y:.6f}" z="{z:.6f}"/>' for x, y, z in vertices.tolist())
    triangles = "".join(f'<triangle v1="{a}" v2="{b}" v3="{c}"/>' for a, b, c in faces.tolist())
    model = (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        '<model unit="millimeter" xml:lang="en-US" xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02">'
        f'<resources><object id="1" type="model" name={quoteattr(name)}><mesh><vertices>{points}</vertices>'
        f"<triangles>{triangles}</triangles></mesh></object></resources>"
        '<build><item objectid="1"/></build></model>\n'
    )
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        for path, text in (("[Content_Types].xml", _TYPES), ("_rels/.rels", _RELATIONS), ("3D/3dmodel.model", model)):
            entry = zipfile.ZipInfo(path, date_time=_FIXED_DATE)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.create_system = 3
            archive.writestr(entry, text)
    return packed.getvalue()
