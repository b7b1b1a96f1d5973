/* Table: which route answers a method and a path. */
#ifndef RUNDOWN_HTTP_TABLE_H
#define RUNDOWN_HTTP_TABLE_H

#include "http/target.h"

/* The first route that matches, with what its {} matched; NULL when none does. Then ret_allow names the methods that
 * the path would take, parted by commas: "" when there is no such path. HEAD is answered by GET. */
enum { TABLE_ALLOW = 64 };
const struct http_route *table_find(const struct http_route *const *tables, const char *method,
                                    const struct target *target, const char *ret_parts[static HTTP_PARTS],
                                    char ret_allow[static TABLE_ALLOW]);

#endif
