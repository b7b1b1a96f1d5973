/* The state shared by the modules that choose columns; see columns.h. */
#ifndef RUNDOWN_INTAKE_CHOICE_H
#define RUNDOWN_INTAKE_CHOICE_H

#include "intake/columns.h"
#include "intake/evidence.h"

struct chooser {
    const struct log_layout *layout;
    const char *name; /* of the log, for messages */
    struct notices *notices;
    struct columns *out;
    struct header *headers; /* [out->count], as are those below */
    struct column_look *looks;
    struct unit *units;
    bool *taken, *asked;
    long header_line, list_line; /* 0 when there is none */
    bool shifted;                /* the header has fewer cells than the rows: its names may be off by one */
    char time_detail[16];        /* `dmy`, `mm:ss` */
};

void choice_take(struct chooser *chooser, int column, enum column_role role, enum channel channel,
                 const char *why);

/* The column taken for a role, from 0; -1 when none is. */
int choice_of(const struct chooser *chooser, enum column_role role, enum channel channel);

#endif
