"""The command `gramwright`. Exit codes: 0 done, 2 wrong use or bad input, 1 a failure; each with one sentence.

What a command does stands in `service/commands`, and is imported when the command is run: start-up is counted.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from importlib import import_module

from service.commands import arguments
from service.commands.tables_of_text import plain
from service.core.errors import GramwrightError, InputError

Commands = argparse._SubParsersAction
Run = Callable[[argparse.Namespace], None]


def main(argv: Sequence[str] | None = None) -> int:
    """Run the command and give its exit code."""
    asked = make_parser().parse_args(argv)
    try:
        function_of(asked.run)(asked)
        sys.stdout.flush()
    except KeyboardInterrupt:
        return 130
    except BrokenPipeError:  # the reader wants no more, as in "... | head"
        _drop_output()
    except InputError as error:
        return _complain(error, 2)
    except (GramwrightError, OSError) as error:
        return _complain(error, 1)
    except Exception as error:  # a defect: said as such, in one sentence
        return _complain(f"unexpected {type(error).__name__}: {error}", 1)
    return 0


def function_of(name: str) -> Run:
    """The function of a command by "module.function" in service/commands."""
    module, _, function = name.partition(".")
    found: Run = getattr(import_module(f"service.commands.{module}"), function)
    return found


def _complain(error: object, code: int) -> int:
    said = "\n".join(plain(line) for line in str(error).splitlines())
    print(f"gramwright: {said}", file=sys.stderr)
    return code


def _drop_output() -> None:
    """Let the interpreter flush what is left to nowhere."""
    with open(os.devnull, "wb") as nowhere, _quiet():
        os.dup2(nowhere.fileno(), sys.stdout.fileno())


@contextmanager
def _quiet() -> Iterator[None]:
    try:
        yield
    except (OSError, ValueError):  # standard output is no file of the system
        return


# ---- what can be asked -----------------------------------------------------------------------------------------


def make_parser() -> argparse.ArgumentParser:
    """The arguments of every command."""
    parser = argparse.ArgumentParser(
        prog="gramwright", description="Ingredient lines and recipes into food entries, gram weights and nutrients."
    )
    commands = parser.add_subparsers(title="commands", required=True, metavar="COMMAND")
    _add_resolve(commands.add_parser("resolve", help="resolve ingredient lines", description=_RESOLVE))
    _add_bulk(_command(commands, "bulk", "resolve files of many lines or recipes", run="bulk.bulk"))
    _add_food(_group(commands, "food", "search and show food entries"))
    _add_dataset(_group(commands, "dataset", "datasets in the store, and their releases"))
    _add_recipe(_group(commands, "recipe", "keep recipes, work out what they come to, publish it"))
    _add_own(_group(commands, "own", "own foods, entered from a label"))
    _add_choice(_group(commands, "choice", "standing choices: what a phrase always means or weighs"))
    _add_key(_group(commands, "key", "keys for a server that other machines can reach"))
    backup = _command(commands, "backup", "copy the store to a file, while it is used", run="backup.backup")
    backup.add_argument("file", metavar="FILE")
    backup.add_argument("--overwrite", action="store_true", help="put it in the place of a file that is there")
    restore = _command(commands, "restore", "put a backup in the store's place", run="backup.restore")
    restore.add_argument("file", metavar="FILE", help="made by backup; the store as it was is kept beside")
    treatment = _group(commands, "treatment", "cooking treatments that a line of a recipe may name")
    _command(treatment, "list", "treatments with what leaves the food", run="treatments.list_treatments")
    serve = _command(commands, "serve", "serve the REST API", run="serve.serve")
    serve.add_argument("--host", help="address to listen on (default: GRAMWRIGHT_HOST)")
    serve.add_argument("--port", type=arguments.port, help="port to listen on (default: GRAMWRIGHT_PORT)")
    serve.add_argument("--workers", type=arguments.processes, default=1, metavar="N",
                       help="processes that answer, over food data in memory that they share (default 1)")  # fmt: skip
    return parser


def _add_dataset(dataset: Commands[argparse.ArgumentParser]) -> None:
    _command(dataset, "list", "datasets with their releases", run="datasets.list_datasets")
    fetch = _command(dataset, "fetch", "load a release; it answers once it is activated", run="datasets.fetch_dataset")
    fetch.add_argument("name", metavar="NAME", help="such as fdc-foundation, cnf, fineli, ciqual or afcd")
    fetch.add_argument("--file", metavar="PATH", help="a file or folder at hand instead of the publisher's")
    activate = _command(dataset, "activate", "answer from a release", run="datasets.activate_dataset")
    activate.add_argument("name", metavar="NAME")
    activate.add_argument("release", metavar="RELEASE", nargs="?", help="by default the one loaded last")
    back = _command(dataset, "roll-back", "go back to the release before", run="datasets.roll_back_dataset")
    back.add_argument("name", metavar="NAME")
    compare = _command(
        dataset, "compare", "what differs between two releases, and what that would change in recipes",
        run="datasets.compare_datasets",
    )  # fmt: skip
    compare.add_argument("old", metavar="OLD", help="such as fdc-foundation:2019-10-11")
    compare.add_argument("new", metavar="NEW", help="such as fdc-foundation:2024-10-31, or 2024-10-31")
    form = compare.add_mutually_exclusive_group()
    form.add_argument("--html", metavar="FILE", help="write a page")
    form.add_argument("--csv", metavar="FILE|-", help="write one row a change")
    check = _command(dataset, "check", "entries whose figures do not add up", run="datasets.check_datasets")
    check.add_argument("name", metavar="NAME", nargs="?", help="by default every dataset")
    check.add_argument("release", metavar="RELEASE", nargs="?", help="by default the one that answers")


def _add_key(key: Commands[argparse.ArgumentParser]) -> None:
    create = _command(key, "create", "make a key, which is shown once", run="keys.create_key")
    add = create.add_argument
    add("name", metavar="NAME", help="what the key is for, as lists show it")
    add("--kitchen", default="default", metavar="KITCHEN", help="the kitchen that it opens (default: default)")
    add("--scopes", type=arguments.names, default=("read",), metavar="LIST",
        help="of read, write, maintain, separated by commas (default: read)")  # fmt: skip
    add("--quota", type=arguments.rate, metavar="N", help="requests a minute (default: GRAMWRIGHT_QUOTA)")
    add("--burst", type=arguments.rate, metavar="N", help="requests at once (default: GRAMWRIGHT_BURST)")
    _command(key, "list", "every key, without its secret", run="keys.list_keys")
    rotate = _command(key, "rotate", "make a new key in the place of another", run="keys.rotate_key")
    rotate.add_argument("id", metavar="ID", help="as key list shows it")
    rotate.add_argument("--keep-old", action="store_true", help="let the other one in until it is revoked")
    revoke = _command(key, "revoke", "let a key in no more", run="keys.revoke_key")
    revoke.add_argument("id", metavar="ID", help="as key list shows it")


def _group(commands: Commands[argparse.ArgumentParser], name: str, about: str) -> Commands[argparse.ArgumentParser]:
    parser = commands.add_parser(name, help=about)
    return parser.add_subparsers(title="commands", required=True, metavar="COMMAND")


def _command(
    commands: Commands[argparse.ArgumentParser], name: str, about: str, *, run: str
) -> argparse.ArgumentParser:
    parser = commands.add_parser(name, help=about, description=f"{about[0].upper()}{about[1:]}.")
    parser.set_defaults(run=run)
    return parser


_RESOLVE = "Resolve ingredient lines: arguments, a file, or - for standard input (UTF-8, lines end at LF)."


def _add_resolve(parser: argparse.ArgumentParser) -> None:
    add = parser.add_argument
    add("lines", nargs="*", metavar="LINE", help="an ingredient line, or - for standard input")
    add("--file", metavar="FILE", help="read the lines from a file")
    form = parser.add_mutually_exclusive_group()
    form.add_argument("--jsonl", nargs="?", const="", metavar="FILE|-", help="one JSON object a line")
    form.add_argument("--csv", action="store_true", help="one row a food, as CSV")
    add("--components", type=arguments.names, metavar="all|LIST", help="tagnames separated by commas, or all")
    _add_datasets(parser)
    add("--servings", type=arguments.above_zero, metavar="N", help="divides the totals; above 0")
    add("--kitchen", action="store_true", help="with own foods, saved recipes and standing choices")
    parser.set_defaults(run="resolve.resolve")


def _add_bulk(parser: argparse.ArgumentParser) -> None:
    add = parser.add_argument
    add("input", metavar="IN", help="JSON Lines of lines or recipes, or CSV or Parquet with a column `line`")
    add("output", metavar="OUT", help="one answer a record, in order; .jsonl, .csv or .parquet")
    add("--format", choices=("jsonl", "csv", "parquet"), help="of both files, whatever their names end in")
    add("--processes", type=arguments.processes, metavar="N", help="processes to work with (default: one a core)")
    add("--scheduler", metavar="ADDRESS", help="a Dask cluster to work with, such as tcp://10.0.0.5:8786")
    add("--components", type=arguments.names, default=(), metavar="all|LIST", help="as with resolve")
    add("--datasets", type=arguments.names, metavar="LIST", help="as with resolve")
    add("--kitchen", action="store_true", help="lines with own foods, saved recipes and standing choices")
    add("--overwrite", action="store_true", help="put the output in the place of a file that is there")
    add("--json", action="store_true", help="the report as one JSON object")


def _add_food(food: Commands[argparse.ArgumentParser]) -> None:
    search = _command(food, "search", "food entries for words, the likeliest first", run="foods.search_foods")
    search.add_argument("words", nargs="+", metavar="WORD")
    _add_datasets(search)
    _add_limit(search)
    show = _command(food, "show", "composition with its origin, and household measures", run="foods.show_food")
    show.add_argument("id", metavar="ID", help="such as sr28:09038")


def _add_datasets(parser: argparse.ArgumentParser) -> None:
    about = "datasets separated by commas, the preferred one first"
    parser.add_argument("--datasets", type=arguments.names, metavar="LIST", help=about)


def _add_limit(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--limit", type=arguments.count, default=20, metavar="N", help="entries to show (default 20)")


# ---- the kitchen -----------------------------------------------------------------------------------------------

_INPUT = "a recipe as JSON, as plain text or as a schema.org Recipe; - for standard input"
# What `recipe publish --as` makes.
PUBLISHED = ("us-panel", "eu-declaration", "card", "strip", "json-ld", "csv", "text")
PAPERS = ("a5", "half-letter")


def _add_recipe(recipe: Commands[argparse.ArgumentParser]) -> None:
    save = _command(recipe, "save", "save a recipe, new or as the next revision of another", run="recipes.save_recipe")
    save.add_argument("file", metavar="FILE|-", help=_INPUT)
    _add_replaced(save, arguments.recipe_id, "recipe:7")
    listed = _command(recipe, "list", "saved recipes by title", run="listings.list_recipes")
    listed.add_argument("--search", default="", metavar="WORDS", help="words of the title")
    listed.add_argument("--using", default="", metavar="ID", help="a food or recipe that it uses, such as sr28:01001")
    _add_limit(listed)
    show = _command(recipe, "show", "a recipe as it was saved", run="recipes.show_recipe")
    _add_shown(show, arguments.recipe_id, "recipe:7")
    _add_nutrition(_command(recipe, "nutrition", "what a recipe comes to", run="nutrition.show_nutrition"))
    delete = _command(recipe, "delete", "delete a recipe that no other uses", run="recipes.delete_recipe")
    _add_id(delete, arguments.recipe_id, "recipe:7")
    revisions = _command(recipe, "revisions", "every revision of a recipe", run="listings.list_revisions")
    _add_id(revisions, arguments.recipe_id, "recipe:7")
    _add_publish(_command(recipe, "publish", "figures and texts fit to print", run="publishing.publish_recipe"))


def _add_nutrition(parser: argparse.ArgumentParser) -> None:
    add = parser.add_argument
    add("recipe", metavar="ID|FILE|-", help="an id such as recipe:7 or 7, a file (not saved), or - for standard input")
    add("--variant", default="", metavar="NAME", help="served this way instead of plain")
    add("--trace", type=arguments.names, default=(), metavar="LIST",
        help="figures to explain: tagnames or net_carbohydrate, separated by commas")  # fmt: skip
    form = parser.add_mutually_exclusive_group()
    form.add_argument("--json", action="store_true", help="everything, as one JSON object")
    form.add_argument("--csv", action="store_true", help="one row a figure, as CSV")


def _add_publish(parser: argparse.ArgumentParser) -> None:
    add = parser.add_argument
    _add_id(parser, arguments.recipe_id, "recipe:7")
    add("--as", dest="form", required=True, choices=PUBLISHED, help="what to make of it")
    add("--variant", default="", metavar="NAME", help="served this way only")
    add("--paper", choices=PAPERS, default=PAPERS[0], help="paper of the card (default a5)")
    add("--house", default="", metavar="NAME", help="who publishes it, named on the card and in the JSON-LD")
    add("--out", metavar="FILE", help="write it to a file; a panel is drawn as SVG where the name ends in .svg")


def _add_own(own: Commands[argparse.ArgumentParser]) -> None:
    save = _command(own, "save", "save an own food, new or as the next revision", run="own_foods.save_own")
    save.add_argument("file", metavar="FILE|-", help="an own food as JSON; - for standard input")
    _add_replaced(save, arguments.own_id, "own:3")
    listed = _command(own, "list", "own foods by description", run="listings.list_own")
    listed.add_argument("--search", default="", metavar="WORDS", help="words of the description")
    _add_limit(listed)
    show = _command(own, "show", "an own food with its composition and what does not add up", run="own_foods.show_own")
    _add_shown(show, arguments.own_id, "own:3")
    delete = _command(own, "delete", "delete an own food that no recipe uses", run="own_foods.delete_own")
    _add_id(delete, arguments.own_id, "own:3")


def _add_choice(choice: Commands[argparse.ArgumentParser]) -> None:
    add = _command(choice, "add", "rule what a phrase means or weighs", run="choices.add_choice")
    add.add_argument("phrase", metavar="PHRASE", help='such as mayo, "1 egg" or "a knob"')
    ruling = add.add_mutually_exclusive_group(required=True)
    ruling.add_argument("--food", metavar="ID", help="the food that it means, such as sr28:04025")
    ruling.add_argument("--size", metavar="SIZE", help="the size that a bare number means, such as medium")
    ruling.add_argument("--grams", type=arguments.above_zero, metavar="G", help="what it weighs")
    _command(choice, "list", "every standing choice", run="choices.list_choices")
    delete = _command(choice, "delete", "delete a standing choice", run="choices.delete_choice")
    _add_id(delete, arguments.choice_id, "choice:2")
    export = _command(choice, "export", "write every standing choice as CSV", run="choices.export_choices")
    export.add_argument("file", metavar="FILE|-")
    read = _command(choice, "import", "add the standing choices of a CSV file", run="choices.import_choices")
    read.add_argument("file", metavar="FILE|-")


def _add_id(parser: argparse.ArgumentParser, kind: Callable[[str], int], example: str) -> None:
    parser.add_argument("id", type=kind, metavar="ID", help=f"such as {example}")


def _add_shown(parser: argparse.ArgumentParser, kind: Callable[[str], int], example: str) -> None:
    _add_id(parser, kind, example)
    parser.add_argument("--revision", type=arguments.revision, metavar="N", help="another revision than the latest")
    parser.add_argument("--json", action="store_true", help="as JSON, in the form that save reads")


def _add_replaced(parser: argparse.ArgumentParser, kind: Callable[[str], int], example: str) -> None:
    parser.add_argument("--id", type=kind, metavar="ID", help=f"save the next revision of this one, such as {example}")
    parser.add_argument("--revision", type=arguments.revision, metavar="N",
                        help="refuse where another revision than this is the latest")  # fmt: skip


if __name__ == "__main__":
    sys.exit(main())
