"""The commands of a pen file: check, what-if, and thread."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import click

from mandrelgen.cli import options
from mandrelgen.cli.errors import EXIT_FINDINGS, emit, printable, say, told
from mandrelgen.cli.options import FILE


@click.command()
@click.argument("file", type=FILE, required=False)
@options.shop
@click.option(
    "--to",
    "folder",
    type=FILE,
    default=Path("output"),
    help="Archive to look in for fixtures that would do; default: output.",
)
@click.option(
    "--mend",
    "mended",
    multiple=True,
    metavar="CODE",
    help="Write the first remedy of the findings of that CODE (or CODE@WHERE) into FILE.",
)
@click.option("--all", "everything", is_flag=True, help="Every size chosen, and why, below that.")
@options.as_json
@told
def check(
    file: Path | None,
    shop: Path | None,
    folder: Path,
    mended: tuple[str, ...],
    everything: bool,
    as_json: bool,
) -> int:
    """Design every mandrel of the pen FILE (default: the one pen file here) and say what is wrong;
    nothing is written, but by --mend."""
    from mandrelgen.workflows import check, reuse
    from mandrelgen.workflows.read_inputs import only_pen, read_inputs

    file = file or only_pen(Path())

    inputs = read_inputs(file, shop)
    if mended:
        from mandrelgen.workflows.mend import mend

        done = mend(file, inputs, mended)
        click.echo(printable(done.difference), err=as_json)
        inputs = read_inputs(file, shop)
    result = check.check(inputs)
    looked = reuse.look(result, folder)
    result = replace(result, findings=(*result.findings, *looked.findings))
    words = check.worded(result, looked.serving)
    # Only the view that is asked for: a check has to start fast.
    if as_json:
        from mandrelgen.workflows.answers import results
        from mandrelgen.workflows.cost import costs

        emit(results.check(result, words, costs(result)))
    else:
        from mandrelgen.cli.views import text
        from mandrelgen.workflows.answers.first_screen import first_screen

        pen = result.inputs.pen.pen.name
        screen = first_screen(pen, result.designed, words, result.findings)
        click.echo(printable(text.first_screen(screen)))
        if everything:
            click.echo("\n" + printable(text.check(result)))
            say(result.findings)
    return EXIT_FINDINGS if result.failed else 0


@click.command("what-if")
@click.argument("file", type=FILE)
@click.argument("mandrel", required=False)
@options.shop
@options.as_json
@told
def what_if(file: Path, mandrel: str | None, shop: Path | None, as_json: bool) -> int:
    """Compare materials, fits, spigots, shanks and ways to thread for one MANDREL of the pen."""
    from mandrelgen.assess.what_if import compare
    from mandrelgen.cli.views import what_if as views
    from mandrelgen.workflows.answers import what_if as answers
    from mandrelgen.workflows.read_inputs import read_inputs

    inputs = read_inputs(file, shop)
    planned, variants = compare(inputs.pen, inputs.shop, mandrel)
    if as_json:
        emit(answers.compared(planned, variants))
    else:
        click.echo(printable(views.table(planned, variants)))
    return 0


@click.command()
@click.argument("file", type=FILE)
@options.shop
@click.option(
    "--state",
    type=click.Choice(["apart", "capped", "posted"]),
    help="How the pen is shown; default: capped, in a PDF every state on a page of its own.",
)
@click.option("--to", "target", type=FILE, help="FILE.svg or FILE.pdf; default: beside the pen.")
@click.option("--bare", is_flag=True, help="Without dimensions.")
@told
def draw(file: Path, shop: Path | None, state: str | None, target: Path | None, bare: bool) -> int:
    """Draw the pen FILE itself, to scale, as a half section: apart, capped, posted."""
    from mandrelgen.workflows import draw as drawing
    from mandrelgen.workflows.read_inputs import read_inputs

    done = drawing.draw_pen(read_inputs(file, shop), state, target or file.with_suffix(".svg"),
                            not bare)  # fmt: skip
    for line in done.says:
        click.echo(printable(line))
    click.echo(f"wrote {printable(str(done.file))} ({', '.join(done.states)})")
    return 0


@click.command()
@click.argument("text", required=False)
@click.option("--internal", is_flag=True, help="The nut's limits (default: by the class, else 6g).")
@click.option(
    "--measured",
    help="Find the thread from readings in mm: crest, ten (over ten crests), starts, root, minor "
    '(bore of a nut), lead; each with ± its uncertainty: "crest=9.32, ten=7.5, starts=1".',
)
@options.as_json
@told
def thread(text: str | None, internal: bool, measured: str | None, as_json: bool) -> int:
    """Limits of the thread TEXT in any spelling, for example "M12xPh2.4P0.8-6H", "9x0.75" or
    "3/8 x 32"; or, with --measured, which thread it is."""
    from mandrelgen.workflows.thread_limits import ask_thread, find_thread

    if (text is None) == (measured is None):
        raise click.UsageError('give a thread, such as "M9x0.75", or --measured, one of the two')
    if measured is not None:
        from mandrelgen.workflows.answers import found_thread

        found = find_thread(measured)
        if as_json:
            emit(found_thread.value(found))
        else:
            click.echo(printable(found_thread.text(found)))
        return 0
    from mandrelgen.cli.views import text as textview
    from mandrelgen.workflows.answers import results

    limits = ask_thread(text or "", internal)
    if as_json:
        emit(results.thread(limits))
    else:
        click.echo(printable(textview.thread(limits)))
    return 0


@click.command("open")
@click.argument("path", type=FILE, default=Path())
@click.option("--to", "folder", type=FILE, help="Archive; default: output beside the pens.")
@click.option("--port", type=click.IntRange(0, 65535), default=0, help="Default: any free one.")
@click.option("--no-browser", is_flag=True, help="Only serve; the address is printed.")
@told
def open_(path: Path, folder: Path | None, port: int, no_browser: bool) -> int:
    """Open the bench page on PATH, a pen file or a folder, in the browser. Ctrl-C ends it."""
    from mandrelgen.page.serve import serve

    serve(path, folder, port, not no_browser, click.echo)
    return 0


@click.command()
@click.argument("word", required=False, default="")
@options.as_json
@told
def keys(word: str, as_json: bool) -> int:
    """What may be written into the files: every key, or those that WORD has to do with."""
    from dataclasses import asdict

    from mandrelgen.spec.key_list import keys as listed

    found = listed(word)
    if as_json:
        emit([{**asdict(k), "path": k.path} for k in found])
        return 0
    if not found:
        click.echo(printable(f"no key has to do with '{word[:40]}'; 'mandrelgen keys' lists all"))
        return EXIT_FINDINGS
    file = ""
    for k in found:
        if k.file != file:
            file = k.file
            click.echo(f"{file} file")
        left = f"left out: {k.default}" if k.default else "needed"
        tail = f"  e.g. {k.example}" if k.example else ""
        click.echo(printable(f"  {k.path}\n      {k.means} ({left}){tail}"))
    return 0
