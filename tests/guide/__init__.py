"""Tests of the guide: its chapters run as they are printed."""
