"""Reads pages by the rules of the HTML standard with the PyPI package `html5lib`, which stops at the first fault in its strict mode.

Usage: python3 check_html.py PAGE.html ...

Exit code 0 and `agrees: N pages` when there is none; 1 and `differs: ` with the page, the place and the fault otherwise.
"""

import sys

import html5lib


def main(paths):
    for path in paths:
        with open(path, encoding="utf-8") as page:
            text = page.read()
        parser = html5lib.HTMLParser(strict=True)
        try:
            parser.parse(text)
        except html5lib.html5parser.ParseError as error:
            (line, column), code, _ = parser.errors[0]
            print(f"differs: {path}:{line}:{column}: {code}: {error}")
            return 1
    print(f"agrees: {len(paths)} pages")
    return 0


sys.exit(main(sys.argv[1:]))
