#!/usr/bin/env python3
"""Reads a report's HTML with Python's own parser and prints what is in it as JSON: whether it stands alone, and its texts.

  read_html.py FILE     {"problems": […], "texts": […], "figures": 2, "photos": 1, "headings": […]}
"""
import html.parser
import json
import re
import sys

EMPTY = {"meta", "link", "br", "img", "hr", "input", "use", "path", "rect", "circle", "line", "polygon", "g", "stop"}


class Reader(html.parser.HTMLParser):
    def __init__(self):
        super().__init__(convert_charrefs=True)
        self.problems, self.texts, self.headings, self.open, self.ids = [], [], [], [], set()
        self.figures = self.photos = 0

    def handle_starttag(self, tag, attributes):
        if tag in ("script", "iframe", "object", "embed", "link", "form", "base"):
            self.problems.append(f"<{tag}>")
        for name, value in attributes:
            value = value or ""
            if name.startswith("on"):
                self.problems.append(f"attribute {name}")
            if name in ("src", "href", "xlink:href", "data", "action", "srcset") and not re.match(r"data:image/|#", value):
                self.problems.append(f"{name}={value}")
            if name == "id":
                if value in self.ids:
                    self.problems.append(f"id {value} twice")
                self.ids.add(value)
            if name == "style" and "url(" in value:
                self.problems.append(f"style={value}")
        self.figures += tag == "svg"
        self.photos += tag == "img"
        if tag not in EMPTY:
            self.open.append(tag)

    def handle_startendtag(self, tag, attributes):
        self.handle_starttag(tag, attributes)
        if tag not in EMPTY:
            self.open.pop()

    def handle_endtag(self, tag):
        if tag in EMPTY:
            return
        if not self.open or self.open[-1] != tag:
            self.problems.append(f"</{tag}> closes {self.open[-1:]}")
        else:
            self.open.pop()

    def handle_data(self, data):
        if self.open and self.open[-1] == "style":
            if re.search(r"@import|url\(", data):
                self.problems.append("style asks for something")
            return
        if data.strip():
            self.texts.append(data.strip())
            if self.open and self.open[-1] in ("h1", "h2", "h3"):
                self.headings.append(data.strip())


reader = Reader()
with open(sys.argv[1], encoding="utf-8", newline="") as file:
    reader.feed(file.read())
reader.close()
if reader.open:
    reader.problems.append(f"never closed: {reader.open}")
json.dump({"problems": reader.problems, "texts": reader.texts, "figures": reader.figures, "photos": reader.photos,
           "headings": reader.headings}, sys.stdout)
