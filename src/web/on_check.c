#include "web/areas.h"

const struct http_route check_routes[] = {
    {0},
};
