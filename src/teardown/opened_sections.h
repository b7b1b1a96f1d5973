/* Opened sections: where in the text of an opened sample's file each item stands. */
#ifndef RUNDOWN_TEARDOWN_OPENED_SECTIONS_H
#define RUNDOWN_TEARDOWN_OPENED_SECTIONS_H

#include "teardown/opened.h"

/* From the first byte of its `[…]` line to the end of its last `key = value`, bytes of the text. */
struct opened_section {
    struct span name; /* between the brackets */
    size_t begin, end;
    long line, next;  /* its first line, and that of the next section (LONG_MAX) */
};
struct opened_sections {
    struct span text;
    size_t at;        /* 0 to begin with, as is `line` */
    long line;
};
/* Goes on to the next section; false at the end. The text is one that intake/ini.h can read. */
bool opened_sections_next(struct opened_sections *walk, struct opened_section *ret_section);

/* The kind at the start of a section's name and the tester's name after it; OPENED_KINDS where there is none. */
enum opened_kind opened_section_kind(struct span section, struct span *ret_name);

#endif
