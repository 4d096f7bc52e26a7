"""Benchmarks as ratios, and where the time of `make --only dxf,pdf` goes (the wren's three
mandrels under cProfile, which stretches everything about alike; 2026-11-25):

    what                                              share
    imports (pydantic models, ezdxf, numpy, others)    30 %
    reading DXF and PDF back (two thirds: ezdxf)       24 %
    laying the sheets out                              17 %
    PDF: drawing replayed, table pages                 16 %
    DXF: text of the document                           9 %
    DXF: entities of the document                       5 %
"""
