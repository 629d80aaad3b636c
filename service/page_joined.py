"""Modules of the page in one file: browsers that open the page for the first time ask once, not once for each.

A joined module keeps its own scope, in a function of its own, and gives what it exports into a table; below its own
address stands a module that takes it out of there, so that whoever imports it has the same one.
"""

from __future__ import annotations

import re
from posixpath import dirname, join, normpath

IMPORT = re.compile(r'^import (?:(\{[\w\s,]*\}) from )?"(\.{1,2}/[^"]+)";', re.MULTILINE)
EXPORT = re.compile(r"^export ((?:async )?(?:function|const|class) (\w+))", re.MULTILINE)
LATER = re.compile(r'\bimport\("(\.{1,2}/[^"]+)"\)')
RENAMED = re.compile(r"(?<=\w)\s+as\s+(?=\w)")
OTHERWISE = re.compile(r"^(?:import|export)\b|\bimport \*|\bexport default\b", re.MULTILINE)
"""Whatever is imported or exported in another way; the page does so in none that it opens with."""


def path_from(name: str, told: str) -> str:
    """Return the path of a file that a module tells as seen from itself."""
    return normpath(join(dirname(name), told))


def joined(modules: dict[str, str]) -> str | None:
    """Return one module that holds some, each after those that it imports; None where they cannot be joined.

    They cannot where one imports or exports in a way that is not known here, one that is not among them, or itself
    by way of others, or has the table's name for something else.
    """
    order = _in_order(modules)
    if order is None or any("JOINED" in text for text in modules.values()):
        return None
    parts = [_part(name, modules[name]) for name in order]
    if None in parts:
        return None
    return "\n".join(("export const JOINED = {};", *map(str, parts)))


def taken_out(name: str, text: str, of: str) -> str:
    """Return the module that stands below the address of one that was joined, `of` the file that holds it."""
    whole = f"{'../' * name.count('/') or './'}{of}"
    names = [one for _, one in EXPORT.findall(text)]
    if not names:
        return f'import "{whole}";\n'
    return f'import {{ JOINED }} from "{whole}";\nexport const {{ {", ".join(names)} }} = JOINED["{name}"];\n'


def taking_from(name: str, text: str, of: str) -> str | None:
    """Return a module that takes what it imports out of the file `of`; None where it imports in an unknown way."""
    body = IMPORT.sub(lambda one: _taken(name, one[1], one[2]), text)
    if OTHERWISE.search(EXPORT.sub(r"\1", body)) or "JOINED" in text:
        return None
    return f'import {{ JOINED }} from "./{of}";\n{body}'


def without_comments(script: str) -> str:
    """Return a script without its indents and the comments that have lines of their own: a quarter less when packed.

    Where a template goes on over the end of a line, or code follows a comment, it stays as it is.
    No more is taken away: minifiers that do without a parser lose blanks of templates within templates, and with them
    the one between inches and their fraction.
    """
    lines: list[str] = []
    in_comment = False
    for line in map(str.strip, script.splitlines()):
        if (in_comment or line.startswith("/*")) and "*/" in line[:-2]:
            return script
        if in_comment or line.startswith(("//", "/*")):
            in_comment = (in_comment or line.startswith("/*")) and not line.endswith("*/")
        elif line.count("`") % 2 or line.endswith("\\"):
            return script
        else:
            lines.append(line)
    return "\n".join(lines)


def _part(name: str, text: str) -> str | None:
    taken = IMPORT.sub(lambda one: _taken(name, one[1], one[2]), text)
    body = EXPORT.sub(r"\1", taken)
    if OTHERWISE.search(body):
        return None
    body = LATER.sub(lambda one: f'import("./{path_from(name, one[1])}")', body)
    body = body.replace("import.meta.url", f'new URL("./{name}", import.meta.url).href')
    given = ", ".join(one for _, one in EXPORT.findall(text))
    return f'JOINED["{name}"] = await (async () => {{\n{body}\nreturn {{ {given} }};\n}})();'


def _taken(name: str, names: str | None, told: str) -> str:
    if not names:
        return ""
    return f'const {RENAMED.sub(": ", names)} = JOINED["{path_from(name, told)}"];'


def _in_order(modules: dict[str, str]) -> list[str] | None:
    found: list[str] = []
    waiting = dict.fromkeys(modules)
    while waiting:
        ready = [
            name
            for name in waiting
            if all(path_from(name, told) in found for _, told in IMPORT.findall(modules[name]))
        ]
        if not ready:
            return None
        found += ready
        waiting = dict.fromkeys(one for one in waiting if one not in ready)
    return found
