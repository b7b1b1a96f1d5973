/* Assets: the files of ui/ and the charts' library, as tools/embed.c put them into the program. */
#ifndef RUNDOWN_WEB_ASSETS_H
#define RUNDOWN_WEB_ASSETS_H

#include <stddef.h>

struct asset {
    const char *address; /* "/ui/core/dom.js"; the table is sorted by it, as strcmp compares */
    const char *type;    /* media type */
    const char *tag;     /* of what it holds */
    const unsigned char *bytes; /* gzip */
    size_t size;
};

extern const struct asset assets[];
extern const size_t asset_count;

#endif
