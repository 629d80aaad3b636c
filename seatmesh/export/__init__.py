"""Files of a seat: meshes, the seat file, the depth table, and how every file is written."""
