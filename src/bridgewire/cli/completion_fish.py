"""What fish runs, and how it is answered.

click's own script keeps of a candidate what stands before its first comma: a description then
says less than it should ("An igniter lights at typical values"), and a name with a comma is cut.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from click.shell_completion import FishComplete

if TYPE_CHECKING:
    from click.shell_completion import CompletionItem

_SCRIPT = r"""function %(complete_func)s
    set -l response (env %(complete_var)s=fish_complete COMP_WORDS=(commandline -cp) \
        COMP_CWORD=(commandline -t) %(prog_name)s)
    for line in $response
        set -l parts (string split -m 1 "," -- $line)
        switch $parts[1]
            case dir
                __fish_complete_directories $parts[2]
            case file
                __fish_complete_path $parts[2]
            case plain
                printf "%%s\n" $parts[2]
        end
    end
end

complete --no-files --command %(prog_name)s --arguments "(%(complete_func)s)"
"""


class Fish(FishComplete):
    """Each candidate on a line: its kind, a comma, the word, and after a tabulator what it is."""

    source_template = _SCRIPT

    def format_completion(self, item: CompletionItem) -> str:
        """Write one candidate.

        Parameters
        ----------
        item : click.shell_completion.CompletionItem
            A word, with or without help.

        Returns
        -------
        str
            Its line.

        Examples
        --------
        >>> from click.shell_completion import CompletionItem
        >>> from bridgewire.cli.main import main
        >>> fish = Fish(main, {}, "bridgewire", "_BRIDGEWIRE_COMPLETE")
        >>> fish.format_completion(CompletionItem("FIR002", help="lights, but not always"))
        'plain,FIR002\\tlights, but not always'
        """
        told = " ".join((item.help or "").split())
        return f"{item.type},{item.value}" + (f"\t{told}" if told else "")
