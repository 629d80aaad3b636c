"""seatmesh over HTTP: routes parse, call one public function of the library, and format."""
