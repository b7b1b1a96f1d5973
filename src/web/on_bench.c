#include "web/areas.h"

const struct http_route bench_routes[] = {
    {0},
};
