"""The command `clockyard`: its commands stand in the files beside this one, each loaded when it is asked for.

Knows no table, page or file; what a command does is its own.
"""

from importlib import import_module

import click

# Which file each command stands in; a name that Python keeps for itself ends with _ there.
_FILE_OF = {
    **dict.fromkeys(("serve", "demo"), "running"),
    **dict.fromkeys(("import", "eye-check", "full", "card", "fits", "conditions"), "balls"),
    "leave": "leave",
    **dict.fromkeys(("clinic", "clinics"), "clinics"),
    **dict.fromkeys(("move-in", "move-out"), "moving"),
    **dict.fromkeys(("books", "backup", "restore", "restore-check", "doctor", "delete"), "keeping"),
}


class _Commands(click.Group):
    """The commands by name, so that none waits for what another imports."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Their names in the order of the alphabet."""
        return sorted(_FILE_OF)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command of a name; None when there is none."""
        if cmd_name not in _FILE_OF:
            return None
        module = import_module(f".{_FILE_OF[cmd_name]}", __name__)
        name = "import_" if cmd_name == "import" else cmd_name.replace("-", "_")
        command: click.Command = getattr(module, name)
        return command


@click.group(cls=_Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="clockyard")
def main() -> None:
    """Know how far each wedge carries at each length of swing, and how far to trust the number."""
