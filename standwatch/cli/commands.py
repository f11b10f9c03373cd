"""Our kind of click command: common options before or after, and commands that are imported when they are used."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from importlib import import_module
from typing import Any

import click

from standwatch.cli.session import Session


def _keep(ctx: click.Context, param: click.Parameter, value: str | None) -> None:
    session = ctx.find_object(Session)
    if value is not None and session is not None:
        setattr(session, f"{param.name}_option", value)


def _common() -> list[click.Parameter]:
    return [
        click.Option(
            ["--book"],
            metavar="FILE",
            expose_value=False,
            callback=_keep,
            help="The stand's SQLite file; else $STANDWATCH_BOOK, else in your user data folder.",
        ),
        click.Option(
            ["--now"],
            metavar="ISO",
            expose_value=False,
            callback=_keep,
            help="Work things out as of then.",
        ),
    ]


_NAMES = {"help_option_names": ["-h", "--help"], "max_content_width": 100}


class Command(click.Command):
    """A command with the common options, whose help ends with an example."""

    def __init__(self, *args: Any, example: str = "", **kwargs: Any) -> None:
        kwargs["params"] = [*(kwargs.get("params") or []), *_common()]
        kwargs.setdefault("context_settings", dict(_NAMES))
        super().__init__(*args, **kwargs)
        self.example = example

    def format_epilog(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """The example, as typed."""
        super().format_epilog(ctx, formatter)
        if self.example:
            with formatter.section("Example"):
                for line in self.example.splitlines():
                    formatter.write(f"{'':{formatter.current_indent}}{line}\n")


class Group(click.Group):
    """A group with the common options, its commands listed as they were declared."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs["params"] = [*(kwargs.get("params") or []), *_common()]
        kwargs.setdefault("context_settings", dict(_NAMES))
        super().__init__(*args, **kwargs)

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002  # click's signature
        """The commands in the order of their declaration."""
        return list(self.commands)


class LazyGroup(Group):
    """A group whose commands lie in modules that are imported when they are wanted.

    `lazy` maps a command's name to (module, attribute, one line of help).
    """

    def __init__(self, *args: Any, lazy: Mapping[str, tuple[str, str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.lazy = dict(lazy)

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002  # click's signature
        """The commands in the order of a clock's way through the shop."""
        return list(self.lazy)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command, imported now."""
        if cmd_name not in self.lazy:
            return super().get_command(ctx, cmd_name)
        module, attribute, _help = self.lazy[cmd_name]
        found = getattr(import_module(module), attribute)
        return found if isinstance(found, click.Command) else None

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:  # noqa: ARG002  # click's
        """One line a command, without importing any."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, text) for name, (_m, _a, text) in self.lazy.items()])


def command(name: str, *, example: str, epilog: str | None = None) -> Callable[[Callable[..., object]], Command]:
    """Declare a command whose help ends with `example`."""

    def declare(function: Callable[..., object]) -> Command:
        return click.command(name, cls=Command, example=example, epilog=epilog)(function)

    return declare
