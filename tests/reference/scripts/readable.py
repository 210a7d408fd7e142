"""How easily the words of the program are read: help, cautions, explanations, six whole hunts.

Reading ease is that of Flesch, as `textstat` reckons it, of sentences of five words and more; no sentence has more than
25 words. It is a smoke alarm, not the aim.

Usage: readable.py PROGRAM SCREENS
"""

import json
import re
import subprocess
import sys
from pathlib import Path

import textstat

EASE = 60.0
LONGEST = 25
LEAST = 5


def shown(program, *words):
    """What a command prints."""
    return subprocess.run([program, *words], capture_output=True, text=True, check=False).stdout


def prose(text):
    """The sentences of a text, without what is typed, tabled or drawn."""
    # A line of two columns is a line of a table.
    blocks = re.split(r"\n\s*\n|\n(?=\s*- )|\n(?=\S)|\n(?= +\S+(?: \S+)* {2,}\S)", text)
    for block in blocks:
        block = " ".join(re.sub(r"^ +\S+(?: \S+)* {2,}", "", block).split())
        if " > " in block or block.endswith(" >"):
            continue
        for sentence in re.split(r"(?<=[.?!:;])\s+|\s+·\s+", block):
            words = [word for word in sentence.split() if re.search(r"[A-Za-z]", word)]
            if len(words) >= LEAST and not re.search(r"--|<|=|\[|/|\.yaml|fusetrail", sentence):
                yield sentence.lstrip("- ")


def helps(program):
    """The help of every command, its description and its arguments."""
    commands = re.findall(r"^  ([a-z]+) ", shown(program, "--help"), re.MULTILINE)
    for command in commands:
        text = shown(program, command, "--help")
        # What stands behind an argument is a sentence of its own.
        yield re.sub(r"\n {2,}-[^\n]*? {2,}", "\n\n", text.split("Examples:")[-1])


def main(program, screens):
    explained = shown(program, "explain", "--format", "json")
    words = [one if isinstance(one, str) else one["names"][0] for one in json.loads(explained)["words"]]
    groups = {
        "help": "\n\n".join(helps(program)),
        "cautions": "\n\n".join(shown(program, "explain", word) for word in words if word.startswith("caution.")),
        "explanations": "\n\n".join(shown(program, "explain", word) for word in words),
    }
    for path in sorted(Path(screens).glob("*.txt")):
        groups[path.stem] = path.read_text(encoding="utf-8")
    failed = False
    for name, text in groups.items():
        sentences = list(dict.fromkeys(prose(text)))
        if not sentences:
            failed = True
            print(f"{name}: no sentence found")
            continue
        ease = textstat.flesch_reading_ease(" ".join(s if s[-1] in ".?!" else s + "." for s in sentences))
        long = [sentence for sentence in sentences if len(sentence.split()) > LONGEST]
        failed |= ease < EASE or bool(long)
        print(f"{name}: {len(sentences)} sentences, reading ease {ease:.0f}, over {LONGEST} words: {len(long)}")
        for sentence in long:
            print(f"  {sentence}")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
