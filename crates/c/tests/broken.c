/* A program that breaks the rules: it reads an answer that it has given back. Whatever watches the
 * other programs must not let this one pass. */

#include "crossread.h"

int main(void)
{
    char *answer = 0;
    crossread_interpret(0, "{}", 2, 0, 0, CROSSREAD_LAYOUT_LINE, &answer);
    if (!answer) return 2;
    crossread_text_free(answer);
    return answer[0] == '{' ? 0 : 3;
}
