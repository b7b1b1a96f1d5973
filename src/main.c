#include "cli/cli.h"
#include "web/web.h"

static enum status serve(const struct cli_serving *serving, struct message *message)
{
    struct web_request request = {
        .book = serving->book,
        .share = serving->share,
        .port = serving->port,
        .browser = serving->browser,
        .quiet = serving->quiet,
    };
    return web_serve(&request, message);
}

int main(int argc, char **argv)
{
    struct cli_outside outside = {.serve = serve};
    return cli_main(argc, argv, &outside);
}
