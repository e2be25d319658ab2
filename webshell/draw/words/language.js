// The language of the shell's words: that of the page, which the build writes into index.html.

export const LANGUAGE = document.documentElement.lang;

/** The same language as it is spoken in the United States. */
export const AMERICAN = `${LANGUAGE}-US`;

const PLURAL = new Intl.PluralRules(LANGUAGE);
const LIST = new Intl.ListFormat(LANGUAGE, { type: "unit", style: "short" });

/** The form that a count takes. @template Form @param {number} count
 *  @param {Partial<Record<Intl.LDMLPluralRule, Form>> & {other: Form}} forms @returns {Form} */
export const plural = (count, forms) => forms[PLURAL.select(count)] ?? forms.other;

/** Several in one line. @param {string[]} each */
export const listed = (each) => LIST.format(each);
