"""Print versions of mandrels, gauges and test pieces: values and profiles, no mesh."""
