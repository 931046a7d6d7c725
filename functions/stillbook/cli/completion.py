"""``stillbook completion``: what makes a shell complete the command line; and the words that it offers."""

from __future__ import annotations

import os
from typing import Any, ClassVar, Final

import click
from click.shell_completion import (
    CompletionItem,
    ShellComplete,
    add_completion_class,
    get_completion_class,
    split_arg_string,
)

VARIABLE: Final = "_STILLBOOK_COMPLETE"
"""By this variable the shell asks the program for completions."""

SHELLS: Final = ("bash", "zsh", "fish", "powershell")


@add_completion_class
class PowerShell(ShellComplete):
    """Completion in PowerShell, which completes names of files itself where it is given nothing."""

    name: ClassVar[str] = "powershell"
    source_template: ClassVar[str] = """\
Register-ArgumentCompleter -Native -CommandName %(prog_name)s -ScriptBlock {
    param($word, $line, $cursor)
    $env:%(complete_var)s = 'powershell_complete'
    $env:COMP_WORDS = $line.ToString()
    $env:COMP_WORD = $word
    try {
        %(prog_name)s | ForEach-Object {
            $value, $help = $_ -split "`t", 2
            [System.Management.Automation.CompletionResult]::new($value, $value, 'ParameterValue', $help)
        }
    } finally {
        Remove-Item Env:%(complete_var)s, Env:COMP_WORDS, Env:COMP_WORD
    }
}
"""

    def get_completion_args(self) -> tuple[list[str], str]:
        """The words before the one to be completed, and that one."""
        words = split_arg_string(os.environ["COMP_WORDS"])[1:]
        word = os.environ.get("COMP_WORD", "")
        return (words[:-1] if word and words else words), word

    def complete(self) -> str:
        """A line for each word that fits, with its help; names of files are left to the shell."""
        return "\n".join(
            self.format_completion(item)
            for item in self.get_completions(*self.get_completion_args())
            if item.type == "plain"
        )

    def format_completion(self, item: CompletionItem) -> str:
        """The word and, behind a tab, its help, which the shell wants never empty."""
        return f"{item.value}\t{item.help or item.value}"


@click.command("completion", short_help="Print what makes a shell complete these commands.")
@click.argument("shell", type=click.Choice(SHELLS))
@click.pass_context
def command(context: click.Context, shell: str) -> None:
    """Print the script that makes SHELL complete commands, options and names. To use it from now on, add a line:

    \b
    bash        eval "$(stillbook completion bash)"                  in ~/.bashrc
    zsh         eval "$(stillbook completion zsh)"                   in ~/.zshrc
    fish        stillbook completion fish | source                   in config.fish
    powershell  stillbook completion powershell | Out-String | Invoke-Expression
                                                                     in $PROFILE
    """
    kind = get_completion_class(shell)
    assert kind is not None
    click.echo(kind(context.find_root().command, {}, "stillbook", VARIABLE).source())


def formula_names(_: click.Context, __: click.Parameter, begun: str) -> list[CompletionItem]:
    """The formulas whose names begin so, with or without the prefix."""
    from stillbook.catalogue import formulas

    wanted = begun.upper().removeprefix("STILL_")
    return [CompletionItem(name, help=entry.summary) for name, entry in formulas().items() if name.startswith(wanted)]


def templates_or_files(_: click.Context, __: click.Parameter, begun: str) -> list[Any]:
    """The templates whose names begin so; where there is none, the shell's own names of files."""
    from stillbook.templates import custom
    from stillbook.templates.shipped import TEMPLATES

    names = {entry.name: entry.summary for entry in TEMPLATES} | {entry.name: "your own" for entry in custom.listed()}
    found = [CompletionItem(name, help=text) for name, text in names.items() if name.startswith(begun.lower())]
    return found or [CompletionItem(begun, type="file")]
