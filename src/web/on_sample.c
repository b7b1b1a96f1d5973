#include "web/areas.h"

const struct http_route sample_routes[] = {
    {0},
};
