"""Profile -> STEP AP214 bytes: one product in mm, named by the fixture's number.

The text is written from the boundary in ``brep`` without the CAD kernel, whose loading alone takes
many times as long. Entities are those of ISO 10303-42 and -214 that the kernel writes for the same
boundary; tests let the kernel read and measure every kind of file.
"""

from __future__ import annotations

from mandrelgen.files.writers.part21 import Instances, file, string
from mandrelgen.files.writers.step_shape import solid
from mandrelgen.geometry.brep.describe import describe
from mandrelgen.geometry.brep.flats import Beyond
from mandrelgen.geometry.brep.model import Brep
from mandrelgen.model.half_section import Profile

SCHEMA = "AUTOMOTIVE_DESIGN { 1 0 10303 214 1 1 1 1 }"


def write(profile: Profile, *, number: str, description: str, timestamp: str) -> bytes:
    """The STEP file of ``profile`` (mm, axis +Z). ``number`` becomes the product's id and name,
    ``description`` the product's and the file's description, ``timestamp`` (ISO 8601) the
    header's. Same arguments, same bytes. Raises ValueError as brep.describe does.

    Flats that reach a cone or a bore, which the designer does not draw, are cut, and then written,
    by the kernel; InputError says how to install it where it is missing.
    """
    try:
        brep = describe(profile)
    except Beyond:
        from mandrelgen.geometry.kernel import require

        require("flats through a cone or a bore")
        from mandrelgen.geometry.kernel.build import build
        from mandrelgen.geometry.kernel.exchange import to_step

        return to_step(build(profile), number, description, timestamp)
    return text(brep, number, description, timestamp)


def text(brep: Brep, number: str, description: str, timestamp: str) -> bytes:
    """The STEP file of a boundary; for the words see ``write``."""
    data = Instances()
    context = data.add(
        "APPLICATION_CONTEXT('core data for automotive mechanical design processes')"
    )
    data.add(
        "APPLICATION_PROTOCOL_DEFINITION('international standard','automotive_design',2000,"
        f"{context})"
    )
    definition = _product(data, context, number, description)
    units = _units(data)
    origin = data.shared("CARTESIAN_POINT('',(0.,0.,0.))")
    z, x = data.shared("DIRECTION('',(0.,0.,1.))"), data.shared("DIRECTION('',(1.,0.,0.))")
    axes = data.shared(f"AXIS2_PLACEMENT_3D('',{origin},{z},{x})")
    body = solid(data, brep, number)
    shape = data.add(f"ADVANCED_BREP_SHAPE_REPRESENTATION('',({axes},{body}),{units})")
    data.add(f"SHAPE_DEFINITION_REPRESENTATION({definition},{shape})")
    header = (
        f"FILE_DESCRIPTION(({string(description)}),'2;1');",
        f"FILE_NAME({string(f'{number}.step')},{string(timestamp)},(''),(''),'mandrelgen',"
        "'mandrelgen','');",
        f"FILE_SCHEMA(({string(SCHEMA)}));",
    )
    return file(header, data)


def _product(data: Instances, context: str, number: str, description: str) -> str:
    """The product and what belongs to it; the name of its shape."""
    name = string(number)
    discipline = data.add(f"PRODUCT_CONTEXT('',{context},'mechanical')")
    product = data.add(f"PRODUCT({name},{name},{string(description)},({discipline}))")
    data.add(f"PRODUCT_RELATED_PRODUCT_CATEGORY('part',$,({product}))")
    formation = data.add(f"PRODUCT_DEFINITION_FORMATION('','',{product})")
    stage = data.add(f"PRODUCT_DEFINITION_CONTEXT('part definition',{context},'design')")
    design = data.add(f"PRODUCT_DEFINITION('design','',{formation},{stage})")
    return data.add(f"PRODUCT_DEFINITION_SHAPE('','',{design})")


def _units(data: Instances) -> str:
    """Millimetre, radian, and how near two points are one (the kernel's 1e-7 mm)."""
    length = data.add("(LENGTH_UNIT()NAMED_UNIT(*)SI_UNIT(.MILLI.,.METRE.))")
    angle = data.add("(NAMED_UNIT(*)PLANE_ANGLE_UNIT()SI_UNIT($,.RADIAN.))")
    solid_angle = data.add("(NAMED_UNIT(*)SI_UNIT($,.STERADIAN.)SOLID_ANGLE_UNIT())")
    near = data.add(
        f"UNCERTAINTY_MEASURE_WITH_UNIT(LENGTH_MEASURE(1.E-07),{length},"
        "'distance_accuracy_value','confusion accuracy')"
    )
    return data.add(
        f"(GEOMETRIC_REPRESENTATION_CONTEXT(3)GLOBAL_UNCERTAINTY_ASSIGNED_CONTEXT(({near}))"
        f"GLOBAL_UNIT_ASSIGNED_CONTEXT(({length},{angle},{solid_angle}))"
        "REPRESENTATION_CONTEXT('Context #1','3D Context with UNIT and UNCERTAINTY'))"
    )
