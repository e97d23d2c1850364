# Notes on files: what was left out, repaired or not checked. Places and gaps are in the unit of the file, where the
# reader looks for them.

# What the size of a file without a unit would be.
sizes-by-unit = in mm { $in_mm }, in cm { $in_cm }, in in { $in_in }, in m { $in_m }

note-unit = The file is in { $own }. The given unit, { $given }, was used, so sizes are { $ratio } times those in the file.
note-laid-flat = Lines drawn in space were laid flat. They stray up to { $stray_m } from their plane near { $place }.{ $leans ->
    [yes] {" "}The plane leans by { $lean }°.
   *[no] {""}
}
note-outlines-flat = Left out { $count ->
    [one] 1 closed line that encloses nothing, at { $place }.
   *[other] { $count } closed lines that enclose nothing, the first at { $place }.
}
note-outlines-twice = { $count ->
    [one] 1 outline is drawn twice, at { $place }. It counts once.
   *[other] { $count } outlines are drawn twice, the first at { $place }. Each counts once.
}
note-islands = Left out { $count ->
    [one] 1 outline inside a hole, at { $places }. It is not material.
   *[other] { $count } outlines inside a hole, at { $places }. They are not material.
}
note-border = One outline encloses all others. If it is the border of the sheet, choose the layer of the pieces.
note-lines-wide = { $count ->
    [one] 1 line has a width. Its middle counts as the edge.
   *[other] { $count } lines have a width. The middle of each counts as the edge.
}
note-lines-meet = Three or more lines meet at { $place }. { $count ->
    [one] The area they enclose counts as an outline.
   *[other] Each of the { $count } areas they enclose counts as an outline.
}
note-lines-open = Left out { $count ->
    [one] 1 open line beside the closed outlines, from { $start } to { $end }.
   *[other] { $count } open lines beside the closed outlines, the first from { $start } to { $end }.
}
note-lines-short = Left out { $count ->
    [one] 1 line without length.
   *[other] { $count } lines without length.
}
note-lines-twice = { $count ->
    [one] 1 line is drawn twice. It counts once.
   *[other] { $count } lines are drawn twice. Each counts once.
}
note-gaps-closed = Closed gaps of up to { $gap_m } between line ends.
note-lines-empty = Left out { $count ->
    [one] 1 line or circle without size.
   *[other] { $count } lines or circles without size.
}
note-left-out = Left out { $items }.
note-left-out-item = { $count } { $kind ->
    [POLYLINE-mesh] POLYLINE mesh
    [INSERT-missing] INSERT of a missing block
    [INSERT-elsewhere] INSERT of another file
    [SPLINE-empty] SPLINE without a shape
   *[other] { $kind }
}
note-pdf-images = Left out { $count ->
    [one] 1 image.
   *[other] { $count } images.
}
note-pdf-shadings = Left out { $count ->
    [one] 1 shading.
   *[other] { $count } shadings.
}
note-pdf-white = Left out { $count ->
    [one] 1 white area.
   *[other] { $count } white areas.
}
note-pdf-layers = Layers that are off in the PDF count too. Choose the layers to read.
note-points = Left out { $count ->
    [one] 1 single point.
   *[other] { $count } single points.
}

note-cut-off = The file breaks off before its end. Outlines may be missing.
note-measurement = The header of the file gives sizes in { $unit } ($INSUNITS), but calls the drawing { $system } ($MEASUREMENT). Check a size. State the unit if it is wrong.
note-two-units = The header of the file gives two units.
note-recovered = The file is damaged and was recovered. { $count ->
    [one] 1 fault: { $fault }.
   *[other] { $count } faults, the first: { $fault }.
}
note-paper-space = Left out { $count ->
    [one] 1 line or block in paper space.
   *[other] { $count } lines or blocks in paper space.
}
note-hidden = Left out what the drawing does not show: { $items }.
note-hidden-item = { $count } { $why ->
    [frozen] frozen
    [off] off
    [invisible] invisible
   *[unplotted] not plotted
} on layer { $layer }
note-blocks-clipped = { $count ->
    [one] 1 block is clipped. What the clip hides counts too.
   *[other] { $count } blocks are clipped. What their clips hide counts too.
}
part-lines = { $count ->
    [one] A LINE
   *[other] A set of { $count } LINEs
}
part-outline = Outline { $number }
part-geometry = Geometry { $number }
part-on-layer = A { $kind } on layer "{ $layer }"

note-clips-ignored = Clip paths and masks are not applied. What they hide counts too.
note-shapes-unpainted = { $count ->
    [one] 1 shape has neither fill nor stroke, and counts too.
   *[other] { $count } shapes have neither fill nor stroke, and count too.
}
note-no-holes = { $count ->
    [one] 1 outline inside another of its path makes no hole, for the path is filled across it (fill-rule nonzero).
   *[other] { $count } outlines inside others of their path make no holes, for the path is filled across them (fill-rule nonzero).
}
note-styles-elsewhere = A style sheet outside the file is not read. What it hides counts too.
note-shapes-hidden = Left out { $count ->
    [one] 1 shape
   *[other] { $count } shapes
} { $why ->
    [display] with display none.
    [visibility] with visibility hidden.
    [language] for readers of another language.
   *[extension] that { $count ->
        [one] needs an extension.
       *[other] need an extension.
    }
}

note-bytes-after = Left out { $count ->
    [one] 1 byte
   *[other] { $count } bytes
} after the last facet ({ $bytes }).
note-objects-of-type = Left out { $count ->
    [one] 1 object of type { $type }.
   *[other] { $count } objects of type { $type }.
}
note-items-unprinted = Left out { $count ->
    [one] 1 item marked as not printed.
   *[other] { $count } items marked as not printed.
}
note-objects-unplaced = Left out { $count ->
    [one] 1 object that nothing places.
   *[other] { $count } objects that nothing places.
}

note-solids-left-out = Left out { $count ->
    [one] 1 open or faulty body.
   *[other] { $count } open or faulty bodies.
}
note-threedm-hidden = Left out { $count ->
    [one] 1 hidden object.
   *[other] { $count } hidden objects.
}
note-threedm-open = Left out { $count ->
    [one] 1 open surface.
   *[other] { $count } open surfaces.
}
note-threedm-subd = Left out { $count ->
    [one] 1 subdivision surface. Turn it into a mesh to count it.
   *[other] { $count } subdivision surfaces. Turn them into meshes to count them.
}
note-threedm-block = Left out { $count ->
    [one] 1 part of a missing block.
   *[other] { $count } parts of missing blocks.
}
note-threedm-other = Left out { $count ->
    [one] 1 curve, point or text.
   *[other] { $count } curves, points or texts.
}
note-lines-in-mesh = Left out { $count ->
    [one] 1 set of points or lines.
   *[other] { $count } sets of points or lines.
}
note-gltf-axes = Sides are named with z up, but glTF has y up. Check that the open side is the right one.
note-nodes-hidden = Left out { $count ->
    [one] 1 hidden part.
   *[other] { $count } hidden parts.
}
note-scenes = Left out { $count ->
    [one] 1 other scene.
   *[other] { $count } other scenes.
}

note-mesh-turned = The mesh was inside out. It was turned.
note-facets-flat = Left out { $count ->
    [one] 1 facet of zero area.
   *[other] { $count } facets of zero area.
}
note-facets-twice = Left out { $count ->
    [one] 1 facet that is there more than once.
   *[other] { $count } facets that are there more than once.
}
note-facets-back-to-back = { $count ->
    [one] 1 pair of facets coincides back to back.
   *[other] { $count } pairs of facets coincide back to back.
}
note-facets-turned = Turned { $count ->
    [one] 1 facet that ran against the rest.
   *[other] { $count } facets that ran against the rest.
}
note-corners-joined = Joined { $count ->
    [one] 1 corner
   *[other] { $count } corners
} nearer than { $reach_m }.
note-edges-crowded = { $count ->
    [one] 1 edge is shared by four or more facets, near { $place }.
   *[other] { $count } edges are shared by four or more facets, the first near { $place }.
}
note-holes-filled = Filled { $count ->
    [one] 1 flat hole, { $across_m } across, near { $places }.
   *[other] { $count } flat holes, up to { $across_m } across, near { $places }.
}
note-not-looked = Not checked whether the surface passes through itself. Up to { $most } facets are checked.
note-bodies-not-compared = Not checked whether any of the { $count } bodies lies inside another.
note-bodies-turned = { $count ->
    [one] Body { $bodies } was inside out. It was turned.
   *[other] Bodies { $bodies } were inside out. They were turned.
}
note-bodies-inside = { $count ->
    [one] Body { $bodies } lies inside another body and counts as its hollow, or as an island in one.
   *[other] Bodies { $bodies } lie inside another body and count as hollows, or as islands in them.
}
note-bodies-united = Bodies { $bodies } overlap near { $place } and became one. The { $shared_m3 } they share count once.
note-borders = Left out { $count ->
    [one] the border of the sheet.
   *[other] { $count } lines of the border of the sheet.
}
note-title-blocks = Left out { $count ->
    [one] 1 outline of the title block.
   *[other] { $count } outlines of the title block.
}
note-balloons = Left out { $count ->
    [one] 1 circle around a mark.
   *[other] { $count } circles around marks.
}
