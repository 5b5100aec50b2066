"""Run the command line by `python -m cutprep`."""

from cutprep.cli.app import main

if __name__ == "__main__":
    main()
