/* What each command file gives to the table in commands.c. */
#ifndef RUNDOWN_CLI_COMMANDS_H
#define RUNDOWN_CLI_COMMANDS_H

#include "cli/cli.h"
#include "cli/options.h"

extern const char assess_about[];
extern const char book_about[];
extern const char casesize_about[];
extern const char cellcode_about[];
extern const char thermistor_about[];
extern const char wire_about[];
extern const char guide_about[];
extern const char import_about[];
extern const char instruments_about[];
extern const char open_about[];
extern const char opened_about[];
extern const char picture_about[];
extern const char plan_about[];
extern const char record_about[];
extern const char rehearse_about[];
extern const char run_about[];
extern const char sample_about[];
extern const char compare_about[];

extern const struct option_spec assess_options[];
extern const struct option_spec book_command_options[];
extern const struct option_spec help_options[];
extern const struct option_spec casesize_options[];
extern const struct option_spec cellcode_options[];
extern const struct option_spec thermistor_options[];
extern const struct option_spec wire_options[];
extern const struct option_spec guide_options[];
extern const struct option_spec import_options[];
extern const struct option_spec instruments_options[];
extern const struct option_spec open_options[];
extern const struct option_spec opened_options[];
extern const struct option_spec picture_options[];
extern const struct option_spec plan_options[];
extern const struct option_spec record_options[];
extern const struct option_spec rehearse_options[];
extern const struct option_spec run_options[];
extern const struct option_spec sample_options[];
extern const struct option_spec compare_options[];

int assess_run(int argc, char **argv);
int book_command(int argc, char **argv);
int help_run(int argc, char **argv);
int casesize_run(int argc, char **argv);
int cellcode_run(int argc, char **argv);
int thermistor_run(int argc, char **argv);
int wire_run(int argc, char **argv);
int guide_run(int argc, char **argv);
int import_run(int argc, char **argv);
int instruments_run(int argc, char **argv);
int open_run(int argc, char **argv);
int opened_run(int argc, char **argv);
int picture_run(int argc, char **argv);
int plan_run(int argc, char **argv);
int record_run(int argc, char **argv);
int rehearse_run(int argc, char **argv);
int run_command(int argc, char **argv);
int sample_command(int argc, char **argv);
int compare_run(int argc, char **argv);

void open_outside(const struct cli_outside *outside); /* what `open` asks; borrowed */

#endif
