/* Outputs: everything `assess` can make from one assessment. */
#ifndef RUNDOWN_CLI_OUTPUTS_H
#define RUNDOWN_CLI_OUTPUTS_H

#include "report/publishing.h"

enum { OUTPUT_FIGURES = 16 };

struct outputs {
    bool json, columns, missing, quiet;
    struct publishing publishing;
    int colour;  /* 0 auto, 1 always, 2 never */
    const char *sheet, *page, *explain, *reply;
    const char *figures[OUTPUT_FIGURES];
    int figure_count;
};

enum status outputs_write(const struct outputs *outputs, const struct assessment *assessment,
                          struct message *message);

#endif
