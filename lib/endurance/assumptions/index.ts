export {
  type Assumption,
  type AssumptionBook,
  assumptionBook,
  type ToldNumbers,
} from "./assumption-book.js";
