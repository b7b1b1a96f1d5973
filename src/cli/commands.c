/* The table of commands. */
#include "cli/commands.h"

const struct command commands[] = {
    {"assess", "LOG… [--label FILE] [--rig FILE] [options]",
     "turn readings into findings and a verdict, claim by claim", assess_about, assess_options, assess_run},
    {"plan", "--label FILE [--rig FILE] [--loads FILE] [options]",
     "before the test: can this rig and these loads decide the claims?", plan_about, plan_options, plan_run},
    {"record", "BOOK --sample NAME [--rig FILE] [--kind KIND] [options]",
     "record a test live into the book, and lose nothing", record_about, record_options, record_run},
    {"instruments", "probe RIG [--seconds N] | list [--json]", "try the instruments of a rig; see what is plugged in",
     instruments_about, instruments_options, instruments_run},
    {"rehearse", "[SCRIPT] [--speed N] [--rig FILE] [options]",
     "play an invented test on meters that speak real protocols", rehearse_about, rehearse_options, rehearse_run},
    {"book", "new|check BOOK | backup BOOK COPY | export BOOK FOLDER | import FOLDER BOOK",
     "make, check, copy, export the file that holds all tests",
     book_about, book_command_options, book_command},
    {"sample", "add|show|correct|remove BOOK NAME [options] | list BOOK", "the batteries of a book, with their labels",
     sample_about, sample_options, sample_command},
    {"run", "show|correct|remove BOOK NUMBER [options] | list BOOK [--sample NAME]", "the tests of a book", run_about,
     run_options, run_command},
    {"import", "BOOK LOG… --sample NAME [options]", "put logs, or readings typed by eye, into a book", import_about,
     import_options, import_run},
    {"help", "[COMMAND]", "say how a command is used", "Prints the help of a command, or the list of commands.",
     help_options, help_run},
    {NULL, NULL, NULL, NULL, NULL, NULL},
};
