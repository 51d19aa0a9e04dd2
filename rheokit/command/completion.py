"""``rheokit completion SHELL``: print what teaches a shell to complete the command."""

import argparse
import sys
from dataclasses import dataclass, field

from .. import terminal
from .codes import PASSED
from .typed import Hyphened

DOES = "print what teaches a shell to complete this command at the tab key"
EXAMPLE = 'eval "$(rheokit completion bash)"'
WHERE = {
    "bash": 'to keep it, add to ~/.bashrc: eval "$(rheokit completion bash)"',
    "zsh": 'to keep it, add to ~/.zshrc: eval "$(rheokit completion zsh)"',
    "fish": "to keep it: rheokit completion fish > ~/.config/fish/completions/rheokit.fish",
}
BASH = """\
_rheokit() {{
    local typed=${{COMP_WORDS[COMP_CWORD]}} words= folders= IFS=$' \\t\\n'
    if [ "$COMP_CWORD" -eq 1 ]; then
        words="{subcommands} --help --version"
    else
        case "${{COMP_WORDS[1]}}" in
{cases}        esac
    fi
    COMPREPLY=($(compgen -W "$words" -- "$typed"))
    IFS=$'\\n'
    [ -n "$folders" ] && COMPREPLY+=($(compgen -d -- "$typed"))
    return 0
}}
complete -o filenames -F _rheokit rheokit
"""
ZSH = "autoload -Uz compinit bashcompinit && compinit && bashcompinit\n"


def arguments(parser: argparse.ArgumentParser) -> None:
    """Tell a parser what completion asks for."""
    parser.add_argument("shell", choices=list(WHERE), help="; ".join(f"{shell}, {how}" for shell, how in WHERE.items()))


def run(told: argparse.Namespace) -> int:
    """Print the script."""
    from . import SUBCOMMANDS

    asked = {name: _Asked(subcommand.DOES) for name, subcommand in SUBCOMMANDS.items()}
    for name, subcommand in SUBCOMMANDS.items():
        subcommand.arguments(asked[name])
    script = _fish(asked) if told.shell == "fish" else (ZSH if told.shell == "zsh" else "") + _bash(asked)
    terminal.write(f"# {WHERE[told.shell]}\n{script}", sys.stdout)
    return PASSED


@dataclass
class _Asked:
    """What a subcommand asks for, heard in place of a parser.

    Of each place the words to choose from, none for a folder; of each option as well, and None where nothing follows it.
    """

    does: str
    places: list[list[str]] = field(default_factory=list)
    options: dict[str, list[str] | None] = field(default_factory=lambda: {"--help": None})

    def add_argument(self, name, *, type=None, choices=(), action=None, **_):
        words = [*(type.known if isinstance(type, Hyphened) else choices)]
        if name.startswith("-"):
            self.options[name] = None if action else words
        else:
            self.places.append(words)

    @property
    def folder_first(self):
        """Whether a folder comes first."""
        return not self.places[0]


def _bash(asked):
    cases = []
    for name, one in asked.items():
        options = " ".join(one.options)
        case = [f'words="{" ".join(one.places[-1])} {options}"']
        if one.folder_first:
            only_there = f'[ "$COMP_CWORD" -eq 2 ] && words="{options}" ' if len(one.places) > 1 else ""
            case.append(f"{only_there}folders=yes")
        after = [
            f'{of}) words="{" ".join(words)}" folders= ;;' for of, words in one.options.items() if words is not None
        ]
        if after:
            case += ['case "${COMP_WORDS[COMP_CWORD-1]}" in', *(f"    {line}" for line in after), "esac"]
        cases.append(
            f"            {name})\n" + "".join(f"                {line}\n" for line in case) + "                ;;\n"
        )
    return BASH.format(subcommands=" ".join(asked), cases="".join(cases))


def _fish(asked):
    lines = ["complete -c rheokit -f", "complete -c rheokit -n __fish_use_subcommand -l version -l help"]
    for name, one in asked.items():
        lines.append(f"complete -c rheokit -n __fish_use_subcommand -a {name} -d '{one.does}'")
        within = f"complete -c rheokit -n '__fish_seen_subcommand_from {name}'"
        for option, words in one.options.items():
            lines.append(f"{within} -l {option[2:]}" + ("" if words is None else f" -x -a '{' '.join(words)}'"))
        if one.folder_first:
            lines.append(f"{within} -a '(__fish_complete_directories)'")
        lines += [f"{within} -a '{' '.join(words)}'" for words in one.places if words]
    return "\n".join(lines) + "\n"
