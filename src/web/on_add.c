#include "web/areas.h"

const struct http_route add_routes[] = {
    {0},
};
