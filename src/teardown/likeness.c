#include "teardown/likeness.h"

const char *alike_name(enum alike alike)
{
    static const char *const names[] = {"agrees", "differs", "seen in one only"};
    return names[alike];
}

void likeness_find(const struct opened *first, const struct opened *second, struct likeness *ret_likeness)
{
    (void)first, (void)second;
    *ret_likeness = (struct likeness){0};
}

void likeness_free(struct likeness *likeness)
{
    *likeness = (struct likeness){0};
}
