#include "cli/calculating.h"
#include "cli/commands.h"

const char casesize_about[] =
    "Holds the outside of a sample, in millimetres over the terminals, against the groups that trays and boxes are made\n"
    "for (BCI, EN): those that it fits, nearest first, or the one that its label names.\n\n"
    "  rundown casesize 329 172 214\n"
    "  rundown casesize 329 172 214 --group 31";

const struct option_spec casesize_options[] = {
    {"group", "NAME", "the group that the label names, `31`, `L5`"},
    {"json", NULL, "print as JSON"},
    {NULL, NULL, NULL},
};

int casesize_run(int argc, char **argv)
{
    return calculating_run("casesize", casesize_options, NULL, argc, argv);
}
