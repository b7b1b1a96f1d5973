/* What each command file gives to the table in commands.c. */
#ifndef RUNDOWN_CLI_COMMANDS_H
#define RUNDOWN_CLI_COMMANDS_H

#include "cli/options.h"

extern const char assess_about[], instruments_about[], plan_about[], rehearse_about[];
extern const struct option_spec assess_options[], help_options[], instruments_options[], plan_options[],
    rehearse_options[];
int assess_run(int argc, char **argv);
int instruments_run(int argc, char **argv);
int plan_run(int argc, char **argv);
int rehearse_run(int argc, char **argv);
int help_run(int argc, char **argv);

#endif
