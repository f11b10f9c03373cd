"""Shell completion."""

from __future__ import annotations

import click
from click.shell_completion import get_completion_class

from standwatch.cli.commands import command

_SHELLS = ("bash", "zsh", "fish")


@command("completion", example='eval "$(standwatch completion bash)"')
@click.argument("shell", type=click.Choice(_SHELLS))
def completion(shell: str) -> None:
    """Print the script that completes commands, options and tags in your shell."""
    from standwatch.cli.main import root  # noqa: PLC0415  # this module is one of root's

    found = get_completion_class(shell)
    if found is None:
        raise click.UsageError(f"{shell} has no completion here")
    complete = found(root, {}, "standwatch", "_STANDWATCH_COMPLETE")
    click.echo(found.source_template % complete.source_vars())
