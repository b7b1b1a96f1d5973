#include "web/areas.h"

const struct http_route run_routes[] = {
    {0},
};
