#include "web/areas.h"

const struct http_route pages_routes[] = {
    {0},
};
