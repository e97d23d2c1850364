# Faults of meshes, and what to do about each.

mesh-pierced = The surface passes through itself near { $where }.
    .fix = Unite the parts into one clean body in the modeler and export again.
mesh-hollow-outside = Body { $number } is a hollow outside every body.
    .fix = Export it again as solid bodies.
mesh-hollow-breaks = Body { $number } is a hollow and breaks through the surface around it near { $where }.
    .fix = Cut it out in the modeler and export one clean body.
mesh-not-united = The bodies overlap, and body { $number } cannot be united with the others ({ $status }).
    .fix = Unite them in the modeler and export one clean body.
mesh-shell-in-compound = A shell from a mesh can't be part of a compound.
    .fix = Model its hollow and subtract it as a second mesh.
mesh-facets-gone = The facets of the mesh were not kept.
    .fix = Read it with its facets.
mesh-no-manifold = The mesh is not a closed manifold ({ $status }).
    .fix = Weld its vertices. Remove faces that share an edge with two others.
mesh-open-rim = The mesh is open at its rim, so it encloses no volume.
    .fix = Give the wall of the shell, or set repair = "fill" to close flat holes.
mesh-no-distances = The facets of the mesh were not kept, so layers can't be measured.
mesh-corner-not-finite = Facet { $number } has a corner that is not a finite number.
    .fix = Export it again.
mesh-unit-differs = The unit in the file is { $own }, not { $given }.
    .fix = Leave the unit out, or export again in the other unit.
mesh-no-unit = The file has no unit. Its size is { $size }: { $sizes }.
    .fix = Give the unit: "mm", "cm", "in" or "m".
mesh-flat = The surface is closed but flat, so it encloses no volume.
    .fix = Export it as a solid body.
mesh-too-many-facets = Its parts unfold to { $found } facets. At most { $most } are read.
    .fix = Reduce it to { $most } facets, or raise the limit with { $option }.
mesh-corner-missing = A facet names a corner that the file does not have.
    .fix = Export it again.
mesh-flat-facets = Every facet has zero area, so they enclose no volume.
    .fix = Export it as a solid body.
mesh-too-many-copies = Its copies of parts have { $found } facets. At most { $most } are read.
    .fix = Export one copy, or raise the limit with { $option }.
mesh-ply-vertex = Vertex { $number } of the PLY file has more numbers than its head names.
    .fix = Export it again.
mesh-obj-zero = A face of the OBJ file names corner 0. Corners count from 1.
    .fix = Export it again.
mesh-3mf-extension = The 3MF file needs { $name }, which is not read.
    .fix = Export it as plain meshes.
mesh-3mf-id-twice = Two objects of the 3MF file have the number { $number }.
    .fix = Export it again.
mesh-part-in-itself = Object { $number } is a part of itself.
    .fix = Export it as plain bodies.
mesh-3mf-type = Object { $number } of the 3MF file has the type "{ $type }", which the format does not have.
    .fix = Export it as a model.
mesh-3mf-unit = The unit of the 3MF file is not clear ("{ $unit }").
    .fix = Export in mm.
mesh-format = "{ $suffix }" is not a mesh format that can be read.
    .fix = Give STL, OBJ, PLY, 3MF, GLB, STEP or 3DM.
gltf-not = The file is not glTF.
    .fix = Export it again as GLB.
gltf-version = The file is glTF { $version }. Version 2 is read.
    .fix = Export it again as GLB, version 2.
gltf-short = The glTF file is cut short: it announces { $announced } bytes and has { $there }.
    .fix = Export or copy it again.
gltf-elsewhere = The glTF file keeps its shapes in another place ({ $name }).
    .fix = Export it as GLB, in one file.
gltf-extension = The glTF file needs the extension { $name }, which is not read.
    .fix = Export it as GLB without compression and without instancing.
gltf-sparse = The glTF file stores its shapes as changes to others.
    .fix = Export it as plain GLB.
gltf-bent = The mesh "{ $name }" is bent by a skeleton or a morph, so its shape depends on the moment.
    .fix = Apply the pose in the modeler and export it as a plain mesh.
gltf-node-twice = Node { $number } of the glTF file stands in two places.
    .fix = Export it again as GLB.
extra-missing = { $kind } files need a library that is not installed.
    .fix = Install it: pip install "cast-estimator[{ $extra }]".
threedm-not = The file is not a 3DM model.
    .fix = Save it again.
threedm-damaged = The 3DM file is damaged: part of it was lost or changed.
    .fix = Save it again.
threedm-empty = The model shows no mesh or solid.{ $count ->
    [0] {""}
    [one] {" "}1 object was left out.
   *[other] {" "}{ $count } objects were left out.
}
    .fix = Save it with the piece in it, on a layer that is on.
threedm-no-render-mesh = The model has a solid without render meshes, so it cannot be measured.
    .fix = Save it with render meshes, or export it as STEP.
threedm-mitered = The model has an extrusion with mitered ends, which is not read.
    .fix = Turn it into a mesh in the modeler, or export it as STEP.
step-not = The file is not STEP.
    .fix = Export it again.
step-cut = The STEP file breaks off before its end.
    .fix = Export or copy it again.
step-units = The unit of the STEP file is not clear ({ $units }).
    .fix = Export it in mm or inches.
step-no-solid = The STEP file holds no closed solid.{ $count ->
    [0] {""}
    [one] {" "}1 open or faulty body was left out.
   *[other] {" "}{ $count } open or faulty bodies were left out.
}
    .fix = Close the surfaces in the modeler and export them as solids.
step-overlap = Solids { $first } and { $second } overlap, so what they share would count twice.
    .fix = Unite them in the modeler and export again.
step-facets-differ = A solid and the facets drawn of it have different volumes.
    .fix = Repair the solid in the modeler, or export it as a fine STL.
mesh-no-facets = The { $kind } file has no facets.
    .fix = Export it again with the piece in it.
stl-empty = The STL file has no facets.
    .fix = Export it again with the piece in it.
stl-not = The file is not STL: too short, and does not begin with solid.
    .fix = Export it again.
stl-short = The STL file is cut short: its header announces { $announced } facets, the file has { $there }.
    .fix = Export or copy it again.
stl-long = The STL file is { $bytes } bytes longer than the { $announced } facets in its header.
    .fix = Export it again.
stl-no-facets = The file begins with solid but has no STL facets.
    .fix = Export it again.
stl-number = Facet { $number } has "{ $text }" where a number belongs.
    .fix = Export it again.
stl-word = Facet { $number } has "{ $text }" where "{ $wanted }" belongs.
    .fix = Export it again as binary STL.
stl-cut = The STL file is cut short after { $whole } facets.
    .fix = Export or copy it again.
mesh-opening-crosses = The outline of an opening crosses itself, so it can't be filled.
    .fix = Close it in the modeler.
mesh-overlap-open = Its bodies overlap, and it is open.
    .fix = Unite them in the modeler and export again.
mesh-skin = Every facet is there twice, facing both ways. A skin has no volume.
    .fix = Export one side as a closed body.
mesh-one-sided = The surface is one-sided, so it encloses no volume.
    .fix = Rebuild it in the modeler as a closed body.
mesh-unpaired = Facets do not pair up at { $count ->
    [one] 1 edge
   *[other] { $count } edges
} near { $where }, so the mesh encloses no volume.
    .fix = Remove the inner or extra facets there in the modeler.
mesh-open-edges = { $count ->
    [one] 1 open edge
   *[other] { $count } open edges
} near { $where }. The mesh encloses no volume.
    .fix = Close it in the modeler, or set repair = "fill" to fill flat holes and accept the change.
mesh-opening-not-flat = The opening near { $middle } is not flat (by { $uneven_m }), so it can't be filled.
    .fix = Close it in the modeler.
shell-unpaired = Facets do not pair up along its edges.
    .fix = Close it in the modeler.
shell-rim-not-flat = The rim of the mesh is not flat (by { $uneven_m }).
    .fix = Cut it flat.
shell-no-flat-face = The mesh has no flat face at the { $side } to leave out.
    .fix = Choose the side with the opening, or open = "none" for a closed shell.
shell-open-not-square = The open faces are not square to each other.
    .fix = Leave one side open.
shell-beyond-rim = The mesh goes on { $beyond_m } beyond its open rim.
    .fix = Close it in the modeler, and leave out a side that is flat.
shell-no-solid = The mesh does not bound a solid, so its shell has no volume.
    .fix = Close it in the modeler, and leave out a side that is flat.

# Notes on a shell.
shell-open-rim = The mesh is open at its rim. The flat face there is left out of the shell.
shell-solid = The wall leaves no hollow. The piece is solid.
shell-thinned = Distances are from the mesh simplified to within { $within_share } of the wall.
shell-offset = The shell holds { $volume_m3 } by true offset. Outer area times wall would be { $plain_m3 } ({ $more }).
mesh-face-part-missing = { $edges ->
    [one] 1 open edge
   *[other] { $edges } open edges
} near { $near }. A part of a flat face is missing there.
    .fix = Close it in the modeler, or set repair = "fill" in the job. `open` then leaves the whole face out.
mesh-3mf-part-missing = The 3MF file holds no "{ $path }".
    .fix = Export it again.
mesh-3mf-no-facets = The 3MF file holds no facets.
    .fix = { $count ->
        [0] Export it again with the piece in it.
       *[other] { $found } Export it again with the piece in it.
    }
mesh-3mf-entities = The file cannot be read as 3MF. It defines entities.
    .fix = Export it again.
mesh-3mf-corner = Object { $object } names a corner that it does not have.
    .fix = Export it again.
mesh-3mf-object = Object { $object } is missing.
    .fix = Export it again.
mesh-3mf-damaged = The file cannot be read as 3MF. It is damaged at line { $line }.
    .fix = Export it again.
