/* Routing: which route answers a method and a path. */
#ifndef RUNDOWN_HTTP_ROUTING_H
#define RUNDOWN_HTTP_ROUTING_H

#include "http/target.h"

/* The first route that matches, with what its {} matched; NULL when none does. Then ret_allow names the methods that
 * the path would take, parted by commas: "" when there is no such path. HEAD is answered by GET. */
enum { ROUTING_ALLOW = 64 };
const struct http_route *routing_find(const struct http_route *const *tables, const char *method,
                                    const struct target *target, const char *ret_parts[static HTTP_PARTS],
                                    char ret_allow[static ROUTING_ALLOW]);

#endif
