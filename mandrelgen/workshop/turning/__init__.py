"""The sequence of operations, threading, gears, wires, inspection plan."""
