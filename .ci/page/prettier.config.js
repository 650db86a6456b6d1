export default {printWidth: 100, bracketSpacing: false, arrowParens: "avoid"};
