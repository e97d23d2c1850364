"""Files in: drawings as plane regions, meshes as their measure."""
