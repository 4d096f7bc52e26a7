"""Benchmarks as ratios, and where the time of `make` goes: the wren's three mandrels in one process
(`--workers 1`) under cProfile, which stretches everything about alike; 2026-11-25:

    what                                        --only dxf,pdf   every format
    laying the sheets out                             29 %           24 %
    PDF: drawing painted, table pages                 13 %            9 %
    reading everything back                           11 %           10 %
    DXF: text of the document                         10 %            8 %
    DXF: entities of the document                      6 %            4 %
    PNG of the sheets (PDFium)                                        9 %
    picture of the part                                               4 %
    mesh                                                              4 %
    STEP, threaded and plain                                          4 %
    the rest: imports (ezdxf, pydantic, numpy), design, archive, order
"""
